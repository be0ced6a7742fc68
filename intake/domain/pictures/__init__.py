"""What a picture's measured facts mean: what it shows, what is wrong with it, whether it repeats another.

The three questions are answered in files of their own; this is where callers find them.
"""

from intake.domain.pictures.duplicates import same_picture
from intake.domain.pictures.quality import verdicts
from intake.domain.pictures.subject import CERTAIN, Guess, label_subject, subject_of

__all__ = ["CERTAIN", "Guess", "label_subject", "same_picture", "subject_of", "verdicts"]
