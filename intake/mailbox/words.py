"""HTML to plain text: what a person would read, with quoted parts marked by ">" as in plain mail.

Nothing of the HTML survives as HTML: scripts, styles, comments, SVG and hidden text are dropped.
"""

from __future__ import annotations

import re
from html.parser import HTMLParser

LONGEST_HTML = 400_000
"""Characters of one HTML part that are read as words; html.parser is quadratic on some hostile input."""

_DROPPED = frozenset({"script", "style", "head", "title", "svg", "template", "noscript", "object", "iframe"})
_BLOCKS = frozenset(
    {
        "address",
        "article",
        "blockquote",
        "br",
        "center",
        "dd",
        "div",
        "dl",
        "dt",
        "fieldset",
        "form",
        "hr",
        "li",
        "main",
    }
    | {"ol", "p", "pre", "section", "table", "tr", "ul", "h1", "h2", "h3", "h4", "h5", "h6"}
)
_VOID = frozenset(
    {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}
)
_HIDDEN = re.compile(r"display\s*:\s*none|mso-hide\s*:\s*all", re.IGNORECASE)
_SPACE = re.compile(r"[ \t\r\n\f\u00a0]+")


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.out: list[str] = []
        self.line: list[str] = []
        self.open: list[tuple[str, bool, bool]] = []
        self.dropped = 0
        self.quoted = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in _BLOCKS:
            self.end_line()
            self.close_implied("p")
        if tag == "body":
            self.close_implied("head")
        if tag in _VOID or len(self.open) > 500:
            return
        given = {name: value or "" for name, value in attrs}
        drops = tag in _DROPPED or bool(_HIDDEN.search(given.get("style", "")))
        quotes = tag == "blockquote"
        self.open.append((tag, drops, quotes))
        self.dropped += drops
        self.quoted += quotes

    def handle_endtag(self, tag: str) -> None:
        if tag in _BLOCKS:
            self.end_line()
        if not any(opened == tag for opened, _, _ in self.open):
            return
        while self.open:
            opened, drops, quotes = self.open.pop()
            self.dropped -= drops
            self.quoted -= quotes
            if opened == tag:
                return

    def close_implied(self, tag: str) -> None:
        """HTML lets a <p> or <head> end without its end tag; what it hid must not hide the rest."""
        if self.open and self.open[-1][0] == tag:
            self.handle_endtag(tag)

    def handle_data(self, data: str) -> None:
        if not self.dropped:
            self.line.append(data)

    def end_line(self) -> None:
        text = _SPACE.sub(" ", "".join(self.line)).strip()
        self.line = []
        self.out.append("> " * min(self.quoted, 10) + text if text else "")


def html_to_text(html: str) -> str:
    """The words of an HTML part, a block a line; what a blockquote holds is marked with "> "."""
    reader = _Reader()
    try:
        reader.feed(html[:LONGEST_HTML])
        reader.close()
    except AssertionError:
        # html.parser asserts on some malformed declarations; the tags are cut out instead.
        return re.sub(r"<[^<>]*>", " ", html[:LONGEST_HTML])
    reader.end_line()
    return re.sub(r"\n{3,}", "\n\n", "\n".join(reader.out)).strip()
