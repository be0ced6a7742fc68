"""The charsets that mail has. A sender's charset name must not choose among everything that Python can decode: some of
its codecs are no charsets, and some (punycode, idna) take time with the square of the length.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from email.message import Message as Tree
from encodings import normalize_encoding
from encodings.aliases import aliases

from intake.model.errors import Unreadable

# The IANA registry's names that mail programs write, as Python calls their codecs: common practice, no source.
_NAMES = """
ascii utf_8 utf_8_sig utf_7 utf_16 utf_16_be utf_16_le utf_32 utf_32_be utf_32_le latin_1 iso8859_1
gb2312 gbk gb18030 hz big5 big5hkscs cp950
euc_jp shift_jis cp932 shift_jisx0213 shift_jis_2004 euc_jis_2004 iso2022_jp iso2022_jp_1 iso2022_jp_2
iso2022_jp_3 iso2022_jp_2004 iso2022_jp_ext euc_kr cp949 johab iso2022_kr
koi8_r koi8_u koi8_t kz1048 ptcp154 tis_620 mac_roman mac_latin2 mac_cyrillic mac_greek mac_turkish
cp437 cp737 cp775 cp850 cp852 cp855 cp857 cp858 cp860 cp861 cp862 cp863 cp865 cp866 cp869 cp874
"""
CODECS = (
    frozenset(_NAMES.split())
    | {f"iso8859_{n}" for n in range(2, 17) if n != 12}
    | {f"cp125{n}" for n in range(9)}
)

_SPELLINGS = {
    "windows_874": "cp874",
    "windows_31j": "cp932",
    "x_sjis": "shift_jis",
    "x_gbk": "gbk",
    "iso_8859_8_i": "iso8859_8",
    "iso_8859_8_e": "iso8859_8",
    "x_mac_roman": "mac_roman",
}
"""Names that mail programs write and Python does not know."""

MOST_HEADERS, MOST_IN_ALL = 2_000, 20_000
"""Header lines of one part, and of a whole message."""
LONGEST_HEADER = 20_000
"""Characters of one header that are looked at; RFC 5322 2.1.1 folds at 998."""
MOST_IN_HEADERS = 1_000_000
"""Characters of all headers of one part together."""

_ENCODED_WORD = re.compile(r"=\?([^?*\s]{1,60})(?=[?*])")  # RFC 2047 2, RFC 2231 5
_EXTENDED = re.compile(r"(\*[ \t]{0,9}=[ \t]{0,9}\"?)([^'\"\s;]{1,60})(?=')")  # RFC 2231 4


def codec_of(charset: str) -> str:
    """The codec of a charset that mail has, by any of its names; "" for what is none."""
    name = normalize_encoding(charset[:60]).lower()
    name = _SPELLINGS.get(name) or str(aliases.get(name, aliases.get(name.replace(".", "_"), name)))
    return name if name in CODECS else ""


def decoded(content: bytes, charset: str) -> str:
    """Text by its declared charset if that fits, else UTF-8, else Windows-1252 (what most wrong labels hide)."""
    for codec in (codec_of(charset), "utf-8", "cp1252"):
        try:
            if codec:
                return content.decode(codec)
        except (UnicodeError, ValueError):
            continue
    return content.decode("cp1252", "replace")


def tame(tree: Tree) -> None:
    """Shorten the headers of every part to what is looked at, and let none name a charset that mail does not have:
    the libraries that read them decode by whatever name stands there. Raises Unreadable for headers without end."""
    lines = 0
    for part in tree.walk():
        given = [(name, str(value)) for name, value in part.raw_items()]
        lines += len(given)
        if len(given) > MOST_HEADERS or lines > MOST_IN_ALL:
            raise Unreadable(
                f"it has more than {MOST_HEADERS} header lines in one part or {MOST_IN_ALL} in all"
            )
        kept = list(_tamed(given))
        if kept != given:
            for name in {name.lower() for name, _ in given}:
                del part[name]
            for name, value in kept:
                part.set_raw(name, value)


def _tamed(given: Iterable[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    left = MOST_IN_HEADERS
    for name, value in given:
        value = _known_charsets_only(value[: min(LONGEST_HEADER, left)])
        left -= len(value)
        yield name, value


def _known_charsets_only(value: str) -> str:
    if "=?" in value:
        value = _ENCODED_WORD.sub(lambda m: m[0] if codec_of(m[1]) else "=?utf-8", value)
    if "'" in value:
        value = _EXTENDED.sub(lambda m: m[0] if codec_of(m[2]) else f"{m[1]}utf-8", value)
    return value
