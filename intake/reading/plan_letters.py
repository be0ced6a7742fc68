"""The letters that people write beside a number for a word, from config/plan-letters/LANGUAGE.yaml."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import yaml

from intake.domain.sketch.words_for_roles import LetterOdds
from intake.model.errors import SettingsError
from intake.model.reading import Role

FOLDER = Path(__file__).parent.parent / "config" / "plan-letters"


@lru_cache(maxsize=4)
def plan_letters(folder: Path = FOLDER) -> LetterOdds:
    """How many times likelier each letter or pair makes a role, of all languages in `folder` together. Raises
    SettingsError, with its file, where one says something else."""
    found: dict[str, dict[Role, float]] = {}
    for path in sorted(folder.glob("*.yaml")):
        try:
            for entry in yaml.safe_load(path.read_text(encoding="utf-8")):
                odds = {Role(key): float(value) for key, value in entry.items() if key != "letters"}
                found |= dict.fromkeys(entry["letters"], odds)
        except (yaml.YAMLError, TypeError, KeyError, AttributeError, ValueError) as error:
            what = f"{path.name}: each entry wants `letters:` and a number for each role"
            raise SettingsError(what, f"Correct {path}") from error
    return found
