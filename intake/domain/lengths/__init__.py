"""How a length is written, what it says in millimetres, and which lengths are plausible."""
