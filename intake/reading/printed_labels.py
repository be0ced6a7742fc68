"""Words printed on labels in a photograph (a meter, a boiler, a consumer unit), by Tesseract's sparse text mode.

Tesseract was trained on print, which is what a label bears. Only words that it is sure of and that stand large in the
picture count: the label of the thing that was photographed, not of one across the room.
"""

from __future__ import annotations

import io

from PIL import Image

from intake.reading.tesseract import tesseract_missing

LONGEST_SIDE = 1000
"""Pixels that the picture is made small to; a label worth reading is legible then, and it takes a third of a second."""
SECONDS = 6
"""After which a picture is given up."""
SURE = 60
"""Least of Tesseract's confidences, 0 to 100. On drawn walls and furniture nonsense scored 30 to 58."""
LEAST_HEIGHT = 10
"""Pixels of the small picture, 1 % of its long side."""
MOST_WORDS = 40
"""So many words of one label are kept (set by hand)."""
SPARSE_TEXT = "--psm 11"


def label_words(jpeg: bytes) -> tuple[str, ...]:
    """The words, as they stand from top to bottom; none where Tesseract is missing or did not answer in time."""
    if tesseract_missing():
        return ()
    import pytesseract

    picture = Image.open(io.BytesIO(jpeg)).convert("L")
    picture.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    try:
        found = pytesseract.image_to_data(
            picture, config=SPARSE_TEXT, output_type=pytesseract.Output.DICT, timeout=SECONDS
        )
    except (RuntimeError, pytesseract.TesseractError):
        return ()
    words = zip(found["text"], found["conf"], found["height"], strict=True)
    sure = [
        text.strip()[:40] for text, conf, height in words if float(conf) >= SURE and height >= LEAST_HEIGHT
    ]
    return tuple(w for w in sure if any(map(str.isalpha, w)) and sum(map(str.isalnum, w)) > 1)[:MOST_WORDS]
