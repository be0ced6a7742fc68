"""Where each item of the checklist stands, what is in doubt, and what to ask the customer for."""
