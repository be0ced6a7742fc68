"""From customers' e-mails to a room survey good enough to design on."""
