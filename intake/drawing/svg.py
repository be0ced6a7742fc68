"""A sheet as SVG 1.1, in millimetres."""

from __future__ import annotations

import math
from base64 import b64encode
from xml.sax.saxutils import escape, quoteattr

from intake.drawing.display import Arc, Item, LineStyle, Pasted, Sheet, Stroke, Text
from intake.drawing.lettering import CAP_SHARE, LONGEST, clean

FACE = "'DejaVu Sans', Verdana, Arial, sans-serif"


def sheets_svg(sheets: list[Sheet]) -> str:
    """Sheets of one width, one below the other, as one SVG document; no script, no link, no outside resource."""
    width, height = max(s.width for s in sheets), sum(s.height for s in sheets)
    parts, top = [], 0.0
    for sheet in sheets:
        body = "\n".join([*map(_item, sheet.items), *([_pasted(sheet.logo)] if sheet.logo else [])])
        parts.append(f'<g transform="translate(0 {_n(top)})">\n{body}\n</g>')
        top += sheet.height
    w, h, joined = _n(width), _n(height), "\n".join(parts)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{w}mm" height="{h}mm" viewBox="0 0 {w} {h}" role="img">\n'
        f"<title>{escape(clean(sheets[0].title))}</title>\n"
        f'<rect width="{w}" height="{h}" fill="#ffffff"/>\n'
        f'<g font-family="{FACE}" stroke-linecap="round" stroke-linejoin="round">\n{joined}\n</g>\n</svg>\n'
    )


def _item(item: Item) -> str:
    if isinstance(item, Stroke):
        return _stroke(item)
    return _arc(item) if isinstance(item, Arc) else _text(item)


def _pasted(p: Pasted) -> str:
    place = f'x="{_n(p.left)}" y="{_n(p.top)}" width="{_n(p.width)}" height="{_n(p.height)}"'
    content = b64encode(p.jpeg).decode()
    return f'<image {place} preserveAspectRatio="xMaxYMid meet" href="data:image/jpeg;base64,{content}"/>'


def _stroke(s: Stroke) -> str:
    path = " ".join(f"{'M' if n == 0 else 'L'}{_n(x)} {_n(y)}" for n, (x, y) in enumerate(s.points))
    fill = s.fill or "none"
    return f'<path data-layer="{s.layer.lower()}" d="{path}{" Z" if s.closed else ""}" fill="{fill}"{_pen(s.pen)}/>'


def _arc(a: Arc) -> str:
    (x0, y0), (x1, y1) = _on(a, a.start), _on(a, a.end)
    large = 1 if abs(a.end - a.start) > 180.0 else 0
    d = f"M{_n(x0)} {_n(y0)} A{_n(a.radius)} {_n(a.radius)} 0 {large} 1 {_n(x1)} {_n(y1)}"
    if abs(a.end - a.start) >= 360.0:
        xm, ym = _on(a, a.start + 180)
        d = (
            f"M{_n(x0)} {_n(y0)} A{_n(a.radius)} {_n(a.radius)} 0 0 1 {_n(xm)} {_n(ym)}"
            f" A{_n(a.radius)} {_n(a.radius)} 0 0 1 {_n(x0)} {_n(y0)}"
        )
    return f'<path data-layer="{a.layer.lower()}" d="{d}" fill="none"{_pen(a.pen)}/>'


def _on(a: Arc, degrees: float) -> tuple[float, float]:
    t = math.radians(degrees)
    return a.centre[0] + a.radius * math.cos(t), a.centre[1] + a.radius * math.sin(t)


def _text(t: Text) -> str:
    turn = f' transform="rotate({_n(-t.angle)} {_n(t.at[0])} {_n(t.at[1])})"' if t.angle else ""
    weight = ' font-weight="bold"' if t.bold else ""
    place = (
        f'x="{_n(t.at[0])}" y="{_n(t.at[1])}" font-size="{_n(t.height / CAP_SHARE)}" text-anchor="{t.anchor}"'
    )
    look = f"fill={quoteattr(t.colour)}{weight}{turn}"
    return f'<text data-layer="{t.layer.lower()}" {place} {look}>{escape(clean(t.text, LONGEST))}</text>'


def _pen(pen: LineStyle | None) -> str:
    if pen is None:
        return ' stroke="none"'
    dash = f' stroke-dasharray="{" ".join(_n(d) for d in pen.dash)}"' if pen.dash else ""
    return f' stroke="{pen.colour}" stroke-width="{_n(pen.width)}"{dash}'


def _n(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".") or "0"
