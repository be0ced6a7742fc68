"""Measures of a sheet that several drawings share, mm on paper.

Heights of lettering are a standard's where it says so. Where lettering and marks stand is layout of our own: set by
looking at the sheets, held by what tests/drawing says must not touch.
"""

from __future__ import annotations

SMALL, MEDIUM, LARGE = 2.5, 3.5, 5.0
"""Heights of capitals (ISO 3098-1)."""
HEADING, NAME = 3.0, 4.0
"""Heights between them, of our own."""
LINE = 4.0
"""From one line of small lettering to the next."""
HALF = SMALL / 2
"""From the middle of small lettering down to its baseline."""

TICK = 1.4
"""Half an oblique stroke of a dimension, across and up. ISO 129-1 leaves this and the next two to the draughtsman."""
ABOVE_LINE = 0.9
"""From a dimension line up to its lettering."""
EXTENSION_OFF, EXTENSION_BEYOND = 1.2, 1.5
"""From what is measured to where its extension line starts, and from the dimension line to where it ends."""
FIRST_ROW = 6.0
"""From the face of a wall to its nearest dimension line."""

SQUARE_MM_A_M2 = 1e6  # by definition
