"""Subjects: what stays of one when its prefixes are taken off, job references, and "part 2 of 3"."""

from __future__ import annotations

import re

_BLOB = r"\[[^\[\]]*\][ \t]*"
_LEADER = re.compile(rf"(?:(?:{_BLOB})*(?:re|fwd?)[ \t]*(?:{_BLOB})?:|[ \t])", re.IGNORECASE)
_TRAILER = re.compile(r"(?:\(fwd\)|[ \t])\Z", re.IGNORECASE)
_FORWARDED = re.compile(r"\A\[fwd:(.*)\]\Z", re.IGNORECASE | re.DOTALL)

# Reply and forward prefixes of mail programs in other languages: common practice, no source.
_OTHER_PREFIX = re.compile(
    r"\A\s*+(?:aw|antw|antwort|wg|sv|vs|vb|vl|tr|rv|res|enc|i|r|rif|odp|pd|doorst|ynt|ilt|bls|fs|vá|továbbítás|atb"
    r"|ref|re|fwd?|ha|na|回复|答复|转发|回覆|轉寄|σχετ|απ|πρθ)\s*+(?:\[\d+\]|\(\d+\)|\^\d+)?\s*+[:：]",
    re.IGNORECASE,
)
# Older references have five signs, later ones twice five.
_REFERENCE = re.compile(
    r"(?<![A-Z0-9])R[-–‐]?([0-9A-HJKMNP-TV-Z]{5})(?:[-–‐ ]?([0-9A-HJKMNP-TV-Z]{5}))?(?![A-Z0-9])",
    re.IGNORECASE,
)
_PART = re.compile(
    r"(?<![\s(\[\-–,:])[\s(\[\-–,:]*+\b(?:(?:part|pt|mail|e-?mail|message|photo|teil|partie|parte|del|deel|część)\.?\s*)?"
    r"(\d{1,2})\s*(?:of|/|von|de|di|sur|av|af|van|z|\\)\s*(\d{1,2})\b[\s)\]]*"
    r"|(?<![\s(\[\-–,:])[\s(\[\-–,:]*+\b(?:part|pt|teil|partie|parte|deel|część)\.?\s*(\d{1,2})\b[\s)\]]*",
    re.IGNORECASE,
)


def base_subject(subject: str) -> str:
    """The base subject by the steps of RFC 5256 section 2.1 (from memory; Dovecot agrees), letter case left alone."""
    text = re.sub(r"[ \t\r\n]+", " ", subject)  # step 1
    while True:
        text = _without_trailers(text)  # step 2
        text = _without_leaders(text)  # steps 3 to 5
        wrapped = _FORWARDED.match(text)
        if not wrapped:
            return text
        text = wrapped[1]  # step 6


def _without_trailers(text: str) -> str:
    while match := _TRAILER.search(text):
        text = text[: match.start()]
    return text


def _without_leaders(text: str) -> str:
    while True:
        if match := _LEADER.match(text):
            text = text[match.end() :]
            continue
        blob = re.match(_BLOB, text)
        if blob and text[blob.end() :].strip():
            text = text[blob.end() :]
            continue
        return text


def topic(subject: str) -> str:
    """The base subject without other languages' prefixes, counters of parts and our job reference, in lower case."""
    text = base_subject(subject)
    while match := _OTHER_PREFIX.match(text):
        text = base_subject(text[match.end() :])
    text = _REFERENCE.sub(" ", text)
    text = _PART.sub(" ", text)
    return re.sub(r"[\W_]+", " ", text).strip().lower()


def job_references(text: str) -> tuple[str, ...]:
    """Every job reference that a text names, as they are written in our letters: "R-7K2M4-9QX3P". Where a word of five
    signs stands behind an older one, both readings are named; only one of them exists."""
    found = [match.groups() for match in _REFERENCE.finditer(text)]
    named = (
        f"R-{first}" + (f"-{part}" if part else "") for first, second in found for part in {second, None}
    )
    return tuple(dict.fromkeys(sorted(name.upper() for name in named)))
