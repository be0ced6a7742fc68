"""What the phrases of the rules say to a designer, in English; those to a customer are worded in config/letters."""
