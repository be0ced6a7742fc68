"""The desk's words for states and roles: plain terms of the trade."""

from __future__ import annotations

from intake.model.checklist import ItemState
from intake.model.job import JobState
from intake.model.letter import LetterState
from intake.model.reading import Role

NEEDS = {
    JobState.TO_CHECK: ("For you", "Something to check, decide or release."),
    JobState.COMPLETE: ("Ready to design", "Everything the checklist asks for is there."),
    JobState.ASKED: ("With the customer", "Our letter is out; their answer is awaited."),
    JobState.ARRIVING: ("Still arriving", "Messages came a moment ago; more may follow."),
    JobState.STOPPED: ("Stopped", "No more letters go out."),
    JobState.ARCHIVED: ("Archived", "Done with, until the customer writes again."),
}
ITEMS = {
    ItemState.MISSING: "missing",
    ItemState.DOUBTFUL: "doubtful",
    ItemState.PRESENT: "there",
    ItemState.CONFIRMED: "confirmed",
    ItemState.NOT_APPLICABLE: "not needed",
}
LETTERS = {
    LetterState.DRAFT: "waits for release",
    LetterState.HELD: "held back",
    LetterState.DUE: "released, about to go",
    LetterState.CLAIMED: "being sent",
    LetterState.SENT: "sent",
    LetterState.FAILED: "could not be sent",
    LetterState.IN_DOUBT: "may not have arrived",
    LetterState.SUPERSEDED: "replaced by a later one",
}
SENTENCES = {
    "greeting-plain": "Greeting of somebody whose name is not known",
    "thanks-mail": "Thanks for a mail without pictures",
    "thanks-met": "Thanks to somebody who came or telephoned",
    "need-one": "Before one request",
    "need-many": "Before several requests",
    "complete": "When everything has come",
    "help-call": "Help by telephone",
    "help-write": "Help where no telephone is set",
    "reminder": "How a reminder begins",
    "closing": "Before the signature",
    "guide-letter": "The letter that brings the measuring guide",
}
"""What each sentence that may be worded anew is for (work/showroom.SENTENCES)."""
MEASURES = {
    Role.SECTION: "section of wall",
    Role.OVERALL: "overall",
    "window": "window",
    "door": "door",
    "doorway": "doorway",
    Role.OPENING: "opening, not told which",
    Role.CEILING: "ceiling height",
    Role.SILL: "sill height",
    Role.HEAD: "top of window",
    Role.REVEAL: "reveal depth",
    Role.FIXTURE: "fixed thing",
    Role.DIAGONAL: "corner to corner",
    Role.UNKNOWN: "not known",
}
"""What a number may be said to measure, in the order in which it is offered."""
