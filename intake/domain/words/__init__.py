"""What the customer's own sentences say: lengths, things, answers to the numbered requests of a letter."""
