"""How often people slip, and leave a length out: the one table, for the inference of a sketch (domain/sketch) and for
the slips of a room alike."""

from __future__ import annotations

from collections.abc import Sequence

from intake.model.reading import Span

KNOWN_SLIP = 0.003
"""Chance that a given reading suffers a given kind of slip: three in a hundred readings, shared by ten kinds
(judgement, no source)."""
UNKNOWN_SLIP = 0.003
"""Chance that a given reading is wrong by something the catalogue does not know (judgement; with .006 of 91 slips on
validation sheets 53 stand first instead of 55)."""
GAP = 0.14
"""A stretch of this share of a wall that no section is of shows (of 54 walls that lacked a number 38 showed one, of
1,503 others 37: validation split)."""
LACKS_WHERE_A_GAP_SHOWS = 0.35
"""How often a wall lacks a section where such a stretch is drawn (38 of 75 as above, less what was lost in reading)."""
LACKS_WHERE_NONE_SHOWS = 0.0009
"""The same where all of the wall is drawn as sections; where nobody knows, one is lacking as often as any slip."""
OF_ANOTHER_WALL = 0.1
"""How often the number of a section that is lacking stands beside another wall (judgement)."""
AT_A_MEASURED_WALL = 0.75
"""How often a section that stands at another wall, which has one length of its own, was written there by a slip: both
of two on 839 sheets of eight drawers (before, either was taken as likely), and none of five at walls of several
lengths, which are not told."""
ALIKE = 0.004
"""How often what counts as no section has the length of a section beside it by chance (5 of 1,200 on 220 clean
sheets)."""
SAYS_WHAT_IT_CLEARLY_SAYS = 0.8
"""How often ink of two digits or more that is clear, that the sums speak against and that a usual slip makes of the
length they leave over, is as it was written (judgement: on 450 sheets of nine drawers there is none without a slip)."""
ALIKE_SOMEWHERE = 0.02
"""How often a number has by chance the length that is left over for a given piece of wall: within 3.29 deviations of
some 6 mm, of lengths that spread over 2 m (by hand)."""
LEAST_DOUBT = 0.02
"""No number looks more surely like a section than all but this."""
TOLD = 0.5
"""A number that no sum shows is told of where it is likelier a slip than not."""
LEFT_OUT_AT_AN_OPENING = 0.55
"""How often a drawn opening without a number was left out by its owner, and not lost in reading, where its wall's
overall and other pieces leave it a length (5 of 7 on 619 sheets of seven drawers, 0 of 2 on 160 crowded validation
sheets; 1 of 4 where a number beside that wall counts for nothing, 2 of 7 of walls without overall or with one piece
more only: those are not told)."""
LEAST_BESIDE = 1
"""So many pieces of the wall have a number there, at least."""
BY_CHANCE = 0.03
"""How often a section has the length of a section of another wall by chance (114 of 4,281 on clean sheets of seven
drawers)."""
LACKS_AS_READ = 0.02
"""The same while it is not settled which numbers are the wall's, as one may have gone astray (judgement; with .006 in
both places of 91 slips on validation sheets 69 are listed instead of 70)."""
BARE = 0.05
"""A wall without any number: people measure every wall, but what faces it may stand for it."""


def widest_gap(spans: Sequence[Span]) -> float:
    """The widest stretch of a wall (0 to 1) that none of these, in their order, is of."""
    reached, widest = 0.0, 0.0
    for low, high in spans:
        widest, reached = max(widest, low - reached), max(reached, high)
    return max(widest, 1.0 - reached)
