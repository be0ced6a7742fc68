"""Several showrooms in one installation: a folder for each, whose settings lie over the shared ones.

Each has a database and a data folder of its own, so nothing that is done in one can touch another. What two of them
must never share, they are refused for.
"""

from __future__ import annotations

import re
import stat
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from pathlib import Path

from intake.model.errors import NotFound, SettingsError
from intake.settings import Settings, Values, settled, values_given, values_of_file
from intake.settings_file import meant

NAME = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,38}[a-z0-9])?")
"""A showroom's name, which is a folder and the first part of a path: a label as host names have (RFC 1123 2.1), in
small letters."""
TAKEN = ("alive", "health", "metrics", "static")
HOUSE = (
    *("showrooms", "data", "host", "port", "behind_proxy", "proxy_address", "allow_passwords_in_clear"),
    *("metrics_token", "log_format", "poll_minutes", "workers"),
)
"""Keys of the whole installation, which no showroom sets."""
PLACE = "{showroom}"
"""Stands for the showroom's name in the shared settings."""


@dataclass(frozen=True)
class Showrooms:
    """The settings of each showroom by name, and why others cannot be used: a fault of one is its own."""

    found: Mapping[str, Settings]
    faults: Mapping[str, SettingsError]


def load_showrooms(environ: Mapping[str, str], data: str | None = None) -> Showrooms:
    """Every showroom of the folder that the setting `showrooms` names. Raises SettingsError for the shared settings."""
    shared = values_given(environ, data)
    house = settled({key: shared[key] for key in HOUSE if key in shared})
    root = Path(house.showrooms)
    if not house.showrooms or not root.is_dir():
        raise SettingsError(f"showrooms: there is no folder {house.showrooms or 'set'}", "Correct it")
    found: dict[str, Settings] = {}
    faults: dict[str, SettingsError] = {}
    for folder in sorted(root.iterdir()):
        if folder.name.startswith("."):
            continue
        try:
            found[folder.name] = _settings_of(folder, shared, house)
        except SettingsError as error:
            faults[folder.name] = error
    for name, fault in _shared_by_two(found).items():
        del found[name]
        faults[name] = fault
    return Showrooms(found, faults)


def showroom(environ: Mapping[str, str], data: str | None, name: str) -> Settings:
    """The settings of one showroom. Raises SettingsError and NotFound."""
    all_ = load_showrooms(environ, data)
    if name in all_.faults:
        raise all_.faults[name]
    if name not in all_.found:
        raise NotFound(f"There is no showroom {name}", "`intake showrooms` lists them")
    return all_.found[name]


def _settings_of(folder: Path, shared: Values, house: Settings) -> Settings:
    name = folder.name
    if not NAME.fullmatch(name) or name in TAKEN or not folder.is_dir():
        raise SettingsError(
            f"{name!r} is no name of a showroom",
            "Name its folder with small letters, digits and hyphens, 40 at most",
        )
    own = values_of_file(folder / "intake.yaml", required=False) | _secrets(folder / "secrets")
    for key in HOUSE:
        if key in own:
            raise SettingsError(f"{own[key][1]}: {key} is of the whole installation", "Set it there")
    values = {key: (_placed(raw, name), where) for key, (raw, where) in shared.items() if key != "showrooms"}
    for key in ("letters", "checklists"):
        if (folder / key).is_dir():
            values[key] = (folder / key, str(folder))
    return settled(values | own | {"data": (house.data / name, "data")})


def _placed(raw: object, name: str) -> object:
    if isinstance(raw, list):
        return [_placed(each, name) for each in raw]
    return raw.replace(PLACE, name) if isinstance(raw, str) else raw


def _secrets(path: Path) -> Values:
    """Lines INTAKE_…=value, as the service's own secrets are written (systemd.exec(5), EnvironmentFile)."""
    if not path.is_file():
        return {}
    if path.stat().st_mode & stat.S_IRWXO:
        raise SettingsError(f"Everybody on this machine may read {path}", f"Run `chmod o= {path}`")
    known = {f"INTAKE_{f.name.upper()}": f.name for f in fields(Settings)}
    values: Values = {}
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        variable, is_, value = line.strip().partition("=")
        if not variable or variable.startswith("#"):
            continue
        where = f"{path}, line {number}"
        if not is_ or variable not in known:
            raise SettingsError(f"{where}: no `INTAKE_…=value` of a setting", meant(variable, known))
        values[known[variable]] = (value, where)
    return values


def _shared_by_two(found: Mapping[str, Settings]) -> dict[str, SettingsError]:
    """A fault for each showroom that shares with another what must be its own; which of them is right is not known."""
    holders: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
    for name, settings in found.items():
        for what, value in set(_apart(settings)):
            holders[what, value].append(name)
    return {
        name: SettingsError(f"{' and '.join(names)} have the same {what}", "Give each its own")
        for (what, _), names in holders.items()
        if len(names) > 1
        for name in names
    }


def _apart(settings: Settings) -> Iterator[tuple[str, str]]:
    yield "database_url", settings.database
    for address in settings.address:
        yield "address", address.lower()
    if settings.imap_host and not settings.mail_folder:
        yield "mailbox", f"{settings.imap_user}\n{settings.imap_folder}\n{settings.imap_host.lower()}"
    for key in ("mail_folder", "letters_folder", "pictures_url", "originals_url", "session_key"):
        if value := getattr(settings, key):
            yield key, value.rstrip("/")
