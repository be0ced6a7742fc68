"""Turns a letter into words: a subject, plain text, and HTML that reads well on a phone."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

import jinja2
import yaml

from intake.model.checklist import CAUTIONS
from intake.model.errors import SettingsError
from intake.model.letter import OF_THE_DESK, Ask, Letter, LetterKind
from intake.model.wording import Wording

OF_LENGTHS = frozenset({"ceiling", "sill", "head", "reveal", "overall", "across", "slope"})
"""Drawings beside requests that one length answers."""
OF_PLACES = frozenset({"consumer-unit", "gas-meter", "boiler", "stop-tap"})
"""Drawings beside requests that a place answers."""
OF_PICTURES = frozenset(
    {"plan", "flat", "corners", "consumer-unit", "gas-meter", "boiler", "stop-tap", "services", "house"}
)
"""Drawings beside requests that a picture may answer."""

EXAMPLES = ("214.5", "167.5", "128.5", "93.5", "71.5", "52.5", "47.5", "318.5", "276.5", "239.5")
"""Figures for the example of an answer; a letter has at most eight requests with three choices, seldom one of these."""

LOGO = "logo@letter"
"""The Content-ID of the showroom's logo."""
WIDTH = 72
"""Columns of the plain text (RFC 3676 4.2 suggests 66 to 78)."""
LONGEST_FIRST_NAME = 20
"""Signs; more are no name that a letter should greet (common practice, no source)."""


@dataclass(frozen=True)
class Showroom:
    """Who signs. `phone` and `designer` may be empty; `signature` are further lines, `logo` a JPEG, b"" for none."""

    name: str
    phone: str = ""
    designer: str = ""
    signature: str = ""
    logo: bytes = field(default=b"", repr=False)


@dataclass(frozen=True)
class InlineImage:
    """A picture shown inside the HTML as `cid:<content_id>` (RFC 2392); `content_id` is without angle brackets."""

    content_id: str
    name: str
    media_type: str
    content: bytes = field(repr=False)


@dataclass(frozen=True)
class RenderedLetter:
    subject: str
    text: str
    html: str
    images: tuple[InlineImage, ...] = ()


class LetterTemplates:
    """The templates and language files of one folder."""

    def __init__(self, folder: Path, wordings: Mapping[str, Wording]) -> None:
        self._wordings = wordings
        loader = jinja2.FileSystemLoader(folder)
        # Text has no markup to escape; the HTML twin is escaped throughout.
        self._templates = jinja2.Environment(
            loader=loader,
            autoescape=jinja2.select_autoescape(["html"]),
            undefined=jinja2.StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self._templates.filters["wrapped"] = _wrapped
        self._templates.filters["steps"] = _steps
        self._templates.filters["paragraphs"] = _paragraphs

    @property
    def languages(self) -> tuple[str, ...]:
        return tuple(self._wordings)

    def wording(self, language: str) -> Wording:
        """The words of a language. Raises SettingsError where there is no such file."""
        if language not in self._wordings:
            known = ", ".join(self.languages)
            raise SettingsError(
                f"There is no language {language!r} for letters", f"Set `language` to one of: {known}"
            )
        return self._wordings[language]

    def render(self, letter: Letter, showroom: Showroom, words: Wording | None = None) -> RenderedLetter:
        """The letter in its own language, in `words` where they are of that language. Raises SettingsError where a
        template is wrong."""
        if words is None or words.language != letter.language:
            words = self.wording(letter.language)
        logo = [InlineImage(LOGO, "logo.jpg", "image/jpeg", showroom.logo)] if showroom.logo else []
        images: list[InlineImage] = [*logo]
        asks = [_shown(n, ask, letter.job, images) for n, ask in enumerate(letter.asks, 1)]
        page: dict[str, Any] = {"letter": letter, "asks": asks, "say": words.say, "showroom": showroom}
        page |= {
            "greeting": _greeting(letter, words),
            "lead": _lead(letter, words),
            "help": _help(showroom, words),
        }
        page |= {"logo": LOGO if logo else ""}
        page |= {"answer": _answer(letter.asks, words), "language": letter.language}
        page |= {"first_optional": _first_optional(letter)}
        page |= {"pictures": any(ask.drawing in OF_PICTURES for ask in letter.asks)}
        try:
            text = self._templates.get_template("letter.txt").render(page)
            html = self._templates.get_template("letter.html").render(page)
        except jinja2.TemplateSyntaxError as error:
            raise SettingsError(
                f"{error.name}, line {error.lineno}: {error.message}", "Correct the template"
            ) from error
        except jinja2.TemplateError as error:
            raise SettingsError(f"A letter template cannot be filled: {error}", "Correct it") from error
        return RenderedLetter(
            letter.subject, re.sub(r"\n{3,}", "\n\n", text).strip() + "\n", html, tuple(images)
        )


@dataclass(frozen=True)
class _ShownAsk:
    """An ask with its number and the content ids of its pictures ("" for none)."""

    number: int
    ask: Ask
    crop: str
    drawing: str


def _shown(number: int, ask: Ask, job: str, images: list[InlineImage]) -> _ShownAsk:
    """The ask with its pictures put among `images`; a crop says it all, so no drawing stands beside one."""
    crop = drawing = ""
    if ask.crop:
        crop = f"crop-{number}.{job.lower()}@letter"
        images.append(InlineImage(crop, f"number-{number}.png", "image/png", ask.crop))
    elif ask.drawing and (drawn := _drawn(ask.drawing)):
        drawing = f"{ask.drawing}.{job.lower()}@letter"
        if drawing not in [i.content_id for i in images]:
            images.append(InlineImage(drawing, f"{ask.drawing}.png", "image/png", drawn))
    return _ShownAsk(number, ask, crop, drawing)


def _drawn(name: str) -> bytes:
    """The drawing of that name as a PNG; b"" where there is none. What draws is loaded by the first letter with one."""
    from intake.postbox.illustrations import DRAWINGS, png

    return png(name) if name in DRAWINGS else b""


def load_letters(folder: Path) -> LetterTemplates:
    """The templates and every language file (`<language>.yaml`) of `folder`.

    Raises SettingsError, one line naming the file, where a file is wrong or lacks a key that en.yaml has.
    """
    wordings = {path.stem: _wording(path) for path in sorted(folder.glob("*.yaml"))}
    if "en" not in wordings:
        raise SettingsError(f"There is no {folder / 'en.yaml'}", "Put it back, or correct `letters`")
    for template in ("letter.txt", "letter.html"):
        if not (folder / template).is_file():
            raise SettingsError(f"There is no {folder / template}", "Put it back, or correct `letters`")
    for language, wording in wordings.items():
        _complete(wording, wordings["en"], folder / f"{language}.yaml")
    return LetterTemplates(folder, wordings)


def _wording(path: Path) -> Wording:
    try:
        return _wording_of(path, path.read_text(encoding="utf-8"))
    except UnicodeDecodeError as error:
        raise SettingsError(f"{path.name}: it is no YAML", f"Correct {path}") from error


@lru_cache(maxsize=16)
def _wording_of(path: Path, text: str) -> Wording:
    """The words of a file that says this: hundreds of showrooms share what came with the program."""
    try:
        loaded = yaml.load(text, getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        where = f", line {mark.line + 1}" if mark else ""
        raise SettingsError(f"{path.name}{where}: it is no YAML", f"Correct {path}") from error
    if not isinstance(loaded, dict) or set(loaded) - {"language", "sentences", "cautions", "items"}:
        raise SettingsError(
            f"{path.name} must hold language, sentences, cautions and items only", f"Correct {path}"
        )
    sentences, cautions = (_words(loaded.get(key), path, key) for key in ("sentences", "cautions"))
    items = {
        (str(item), name): text
        for item, fields in (loaded.get("items") or {}).items()
        for name, text in _words(fields, path, str(item)).items()
    }
    return Wording(str(loaded.get("language", path.stem)), sentences, cautions, items)


def _words(found: object, path: Path, key: str) -> dict[str, str]:
    if not isinstance(found, dict) or not all(isinstance(v, str) and v.strip() for v in found.values()):
        raise SettingsError(f"{path.name}: {key} must hold `key: words` lines", f"Correct {path}")
    return {str(k): " ".join(v.split()) for k, v in found.items()}


def _complete(wording: Wording, english: Wording, path: Path) -> None:
    if set(wording.cautions) != set(CAUTIONS):
        odd = ", ".join(sorted(set(CAUTIONS) ^ set(wording.cautions)))
        raise SettingsError(
            f"{path.name}: cautions must be exactly {', '.join(CAUTIONS)}; see {odd}", f"Correct {path}"
        )
    theirs, ours = wording.sentences, english.sentences
    for key in sorted(set(ours) ^ set(theirs)):
        fault = f"lacks {key!r}" if key in ours else f"has {key!r}, which en.yaml has not"
        raise SettingsError(f"{path.name}: sentences {fault}", f"Correct {path}")
    for key in ours:
        if _gaps(ours[key]) != _gaps(theirs[key]):
            raise SettingsError(
                f"{path.name}: {key!r} must have the gaps {sorted(_gaps(ours[key]))}", f"Correct {path}"
            )


def _gaps(text: str) -> set[str]:
    return set(re.findall(r"{(\w+)}", text))


MOST_GREETED = 3
"""Names in a greeting at most (set by hand)."""


def _greeting(letter: Letter, words: Wording) -> str:
    """By the first names of all who wrote, the addressee's first; plainly where a name is none."""
    full = dict.fromkeys([*(a.name for a in letter.to), *letter.greeted])
    first = [_first_name(name) for name in full]
    names = list(dict.fromkeys(n for n in first if n))[:MOST_GREETED]
    if not names or not first[0]:
        return words.say("greeting-plain")
    joint = names[0] if len(names) == 1 else words.say("and", first=", ".join(names[:-1]), last=names[-1])
    return words.say("greeting", name=joint)


def _first_name(name: str) -> str:
    first = name.split()[0].strip(",.\"'") if name.split() else ""
    plain = (
        first[:1].isupper()
        and first.replace("-", "").replace("'", "").isalpha()
        and 1 < len(first) <= LONGEST_FIRST_NAME
    )
    return first if plain else ""


def _lead(letter: Letter, words: Wording) -> str:
    if letter.kind in OF_THE_DESK:
        return words.say("own-one" if len(letter.asks) == 1 else "own-many", count=len(letter.asks))
    if letter.kind is LetterKind.COMPLETE:
        return words.say("complete-optional") if letter.asks else ""
    key = "reminder" if letter.kind is LetterKind.REMINDER else "need"
    needed = sum(not ask.optional for ask in letter.asks)
    if not needed:
        return words.say("optional")
    return words.say(f"{key}-one" if needed == 1 else f"{key}-many", count=needed)


def _first_optional(letter: Letter) -> int:
    """The number of the first request that is set apart as optional; 0 for none, or where all are."""
    apart = [n for n, ask in enumerate(letter.asks, 1) if ask.optional]
    return apart[0] if apart and apart[0] > 1 and letter.kind is not LetterKind.COMPLETE else 0


def _help(showroom: Showroom, words: Wording) -> str:
    if not showroom.phone:
        return words.say("help-write")
    return words.say("help-call", who=showroom.designer or words.say("us"), phone=showroom.phone)


def _answer(asks: tuple[Ask, ...], words: Wording) -> str:
    """How to answer, with a line like one that the customer may write to this very letter."""
    numbered = list(enumerate(asks, 1))
    # Never a figure that we ask about: it might come back as the answer.
    asked = " ".join([*(c for ask in asks for c in ask.choices), *(ask.question for ask in asks)])
    figure = next((f for f in EXAMPLES if f not in asked), EXAMPLES[0])
    chosen = [f"{n}: {figure}" for n, ask in numbered if ask.choices]
    measured = [f"{n}: {figure}" for n, ask in numbered if ask.drawing in OF_LENGTHS]
    placed = [words.say("example-words", number=n) for n, ask in numbered if ask.drawing in OF_PLACES]
    example = next(iter(chosen + measured + placed), None)
    return words.say("answer", example=example) if example else words.say("answer-plain")


SHORT_HOW = 160
"""Characters that are told in a row; a longer instruction of three sentences or more becomes steps."""


def _steps(text: str) -> list[str]:
    """A long instruction as short steps, a sentence each; a short one whole."""
    sentences = re.split(r"(?<=[.!?]) (?=[A-ZÄÖÜ])", text)
    return sentences if len(sentences) > 2 and len(text) > SHORT_HOW else [text]


def _paragraphs(text: str) -> list[list[str]]:
    """Free words as paragraphs of lines."""
    return [paragraph.splitlines() for paragraph in text.split("\n\n") if paragraph.strip()]


@lru_cache(maxsize=512)
def _wrapped(text: str, indent: int = 0) -> str:
    return textwrap.fill(
        text, WIDTH, initial_indent=" " * indent, subsequent_indent=" " * indent, break_long_words=False
    )
