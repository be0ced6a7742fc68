"""What a plan's numbers say and measure, and the room that they describe."""
