"""HTML to plain text: what a person would read, with quoted parts marked by ">" as in plain mail.

Nothing of the HTML survives as HTML: scripts, styles, comments, SVG and hidden text are dropped.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from lxml import etree

_DROPPED = frozenset(
    {"script", "style", "head", "title", "svg", "template", "noscript", "object", "iframe"}
    | {"s", "strike", "del"}
)
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
_HIDDEN = re.compile(r"display\s*:\s*none|mso-hide\s*:\s*all", re.IGNORECASE)
_SPACE = re.compile(r"[ \t\r\n\f\u00a0]+")


class _Reader:
    """Told of each tag and text by the parser, in order; tags come in pairs, whatever the sender left out."""

    def __init__(self) -> None:
        self.out: list[str] = []
        self.line: list[str] = []
        self.open: list[tuple[bool, bool]] = []
        self.dropped = 0
        self.quoted = 0

    def start(self, tag: str, attributes: Mapping[str, str]) -> None:
        if tag in _BLOCKS:
            self.end_line()
        drops = tag in _DROPPED or bool(_HIDDEN.search(attributes.get("style", "")))
        quotes = tag == "blockquote"
        self.open.append((drops, quotes))
        self.dropped += drops
        self.quoted += quotes

    def end(self, tag: str) -> None:
        if tag in _BLOCKS:
            self.end_line()
        if self.open:
            drops, quotes = self.open.pop()
            self.dropped -= drops
            self.quoted -= quotes

    def data(self, text: str) -> None:
        if not self.dropped:
            self.line.append(text)

    def comment(self, text: str) -> None:
        """Nobody sees it."""

    def pi(self, target: str, text: str | None = None) -> None:
        """Nobody sees it."""

    def close(self) -> str:
        self.end_line()
        return re.sub(r"\n{3,}", "\n\n", "\n".join(self.out)).strip()

    def end_line(self) -> None:
        text = _SPACE.sub(" ", "".join(self.line)).strip()
        self.line = []
        self.out.append("> " * min(self.quoted, 10) + text if text else "")


def html_to_text(html: str) -> str:
    """The words of an HTML part, a block a line; what a blockquote holds is marked with "> ".

    libxml2 reads it, whose time is linear; that of the standard library's parser is not, on hostile input.
    """
    reader = _Reader()
    parser = etree.HTMLParser(target=reader, recover=True, no_network=True, encoding="utf-8")
    try:
        parser.feed(html.encode("utf-8", "replace"))
        return str(parser.close())
    except etree.ParserError:
        return reader.close()
    except etree.XMLSyntaxError:
        return reader.close()
