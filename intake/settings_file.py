"""Reads a settings file as it is written: no word of it is guessed to be a number, a truth or a date."""

from __future__ import annotations

import stat
from collections.abc import Collection
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from intake.model.errors import SettingsError

if TYPE_CHECKING:
    import yaml

NOTHING = ("", "~", "null")
"""Values that leave a key unset (YAML 1.2.2, 10.3.2)."""


def read_settings_file(
    path: Path, known: Collection[str], secrets: Collection[str]
) -> dict[str, str | list[str]]:
    """The values of a file by key, each as written. Raises SettingsError with one line that names file, line and
    key."""
    node = _mapping(path)
    values: dict[str, str | list[str]] = {}
    for name, value in node.value if node else ():
        key, where = str(name.value), f"{path}, line {name.start_mark.line + 1}"
        if key not in known:
            raise SettingsError(f"{where}: there is no setting {key!r}", meant(key, known))
        if key in secrets:
            raise SettingsError(f"{where}: {key} is a secret", f"Set INTAKE_{key.upper()} in the environment")
        if key in values:
            raise SettingsError(f"{where}: {key} stands twice", "Leave one of them")
        values[key] = _as_written(value, key, where)
    _check_private(path, values)
    return {key: value for key, value in values.items() if value not in NOTHING}


def _mapping(path: Path) -> yaml.MappingNode | None:
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        raise SettingsError(f"{path} cannot be read: {error.strerror}", "Correct its rights") from error
    except UnicodeDecodeError as error:
        raise _not_yaml(path, error) from error
    if all(line == "" or line.startswith("#") for line in map(str.strip, text.splitlines())):
        return None  # comments alone: a short command need not wait for the parser to load
    import yaml

    try:
        node = yaml.compose(text, Loader=yaml.SafeLoader)
    except yaml.YAMLError as error:
        raise _not_yaml(path, error) from error
    if node is not None and not isinstance(node, yaml.MappingNode):
        raise SettingsError(f"{path} must hold `key: value` lines", "See docs/settings.md")
    return node


def _not_yaml(path: Path, error: Exception) -> SettingsError:
    return SettingsError(f"{path} is not YAML: {' '.join(str(error).split())}", "Correct it")


def _as_written(node: yaml.Node, key: str, where: str) -> str | list[str]:
    import yaml

    if isinstance(node, yaml.ScalarNode):
        return str(node.value)
    if isinstance(node, yaml.SequenceNode) and all(isinstance(n, yaml.ScalarNode) for n in node.value):
        return [str(n.value) for n in node.value]
    raise SettingsError(f"{where}: {key} must be one value or a list", "See docs/settings.md")


def meant(name: str, known: Collection[str]) -> str:
    """What to do about a name that is not known."""
    close = get_close_matches(name, known, 1)
    return f"Did you mean {close[0]}?" if close else "See docs/settings.md"


def _check_private(path: Path, values: dict[str, str | list[str]]) -> None:
    """A password in a URL is a secret that the file holds: then the file is its owner's and group's alone."""
    for key in ("database_url", "pictures_url", "originals_url"):
        if has_password(str(values.get(key, ""))) and path.stat().st_mode & stat.S_IROTH:
            raise SettingsError(
                f"{path}: {key} holds a password and everybody on this machine may read the file",
                f"Run `chmod o-r {path}`, or set INTAKE_{key.upper()} in the environment",
            )


def has_password(url: str) -> bool:
    try:
        return bool(urlsplit(url).password)
    except ValueError:
        return False
