"""Our own small drawings of how to measure or photograph a thing, as vector drawings and as PNG."""

from __future__ import annotations

import io
from collections.abc import Callable
from functools import lru_cache

import pypdfium2
from PIL import Image
from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing

from intake.postbox.illustrations import fronts, plans

DRAWINGS: dict[str, Callable[[], Drawing]] = {
    "plan": plans.plan,
    "sections": plans.sections,
    "overall": plans.overall,
    "reveal": plans.reveal,
    "corners": plans.corners,
    "across": plans.across,
    "flat": plans.flat,
    "ceiling": fronts.ceiling,
    "opening": fronts.opening,
    "sill": fronts.sill,
    "head": fronts.head,
    "window": fronts.window,
    "slope": fronts.slope,
    "consumer-unit": fronts.consumer_unit,
    "gas-meter": fronts.gas_meter,
    "boiler": fronts.boiler,
    "stop-tap": fronts.stop_tap,
    "services": fronts.services,
    "house": fronts.house,
}
"""Every drawing by the name that checklists and asks give it."""


@lru_cache(maxsize=64)
def png(name: str, scale: float = 2.0) -> bytes:
    """The drawing as a PNG of `scale` pixels a point, few colours so that a letter stays small.

    Raises KeyError for a name that is none of DRAWINGS.
    """
    document = pypdfium2.PdfDocument(renderPDF.drawToString(DRAWINGS[name]()))
    try:
        picture = document[0].render(scale=scale).to_pil().convert("RGB")
    finally:
        document.close()
    out = io.BytesIO()
    picture.quantize(32, method=Image.Quantize.MEDIANCUT).save(out, "PNG", optimize=True)
    return out.getvalue()
