"""The settings: one YAML file, each key also an environment variable INTAKE_<KEY>; secrets only from there."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import time
from ipaddress import ip_address
from pathlib import Path
from typing import Any
from urllib.parse import quote
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from intake.domain.mail.rhythm import days_of, hours_of
from intake.model.errors import SettingsError
from intake.settings_file import meant, read_settings_file

PROJECT = Path(__file__).resolve().parent.parent
"""The checkout, where it is run from one."""
SHIPPED = Path(__file__).resolve().parent / "config"
"""Checklists and letters as they come with the program: config/ of the checkout, inside the package once installed."""
SECRETS = ("imap_password", "imap_token", "smtp_password", "smtp_token", "session_key", "metrics_token")
NO_SETTINGS = (
    "INTAKE_SETTINGS",
    # of the tests and makers alone
    *("INTAKE_ALL_PICTURES", "INTAKE_CHROMIUM", "INTAKE_FULL", "INTAKE_HANDS", "INTAKE_MNIST"),
    "INTAKE_TEST_WORKERS",
)
"""Variables that are no settings and may be set all the same."""
CHOICES = {
    "mode": ("draft", "automatic"),
    "imap_security": ("tls", "starttls", "none"),
    "smtp_security": ("tls", "starttls", "none"),
    "smtp_copy": ("yes", "no"),
    "send_guide": ("no", "yes"),
    "behind_proxy": ("no", "yes"),
    "log_format": ("text", "json"),
    "labels": ("no", "yes"),
    "allow_passwords_in_clear": ("no", "yes"),
}
RANGES = {
    "imap_port": (1, 65_535),
    "imap_timeout": (1, 3_600),
    "smtp_port": (1, 65_535),
    "smtp_timeout": (1, 3_600),
    "letters_a_day": (1, 1_000),
    "poll_minutes": (1, 1_440),
    "quiet_minutes": (0, 10_080),
    "look_minutes": (0, 10_080),
    "reminder_days": (1, 365),
    "same_sender_days": (0, 366),
    "retention_days": (0, 36_500),
    "pictures_days": (0, 36_500),
    "words_days": (0, 36_500),
    "letters_days": (0, 36_500),
    "port": (1, 65_535),
    "workers": (0, 64),
    "scribe_mm": (0, 200),
    "units_depth_mm": (100, 1_500),
    "worktop_mm": (500, 1_500),
    "spot_checks_percent": (0, 50),
    "wrong_in_10000": (1, 1_000),
}
"""What each number may be, both ends included; a test holds that every number has its range."""


@dataclass(frozen=True)
class Settings:
    """Every setting with its default. docs/settings.md documents each; a test holds that."""

    data: Path = Path("intake-data")
    database_url: str = ""
    pictures_url: str = ""
    originals_url: str = ""
    address: tuple[str, ...] = ()
    authserv_id: str = ""
    showroom_name: str = "The showroom"
    showroom_phone: str = ""
    designer: str = ""
    language: str = "en"
    mode: str = "draft"
    mail_folder: str = ""
    imap_host: str = ""
    imap_port: int = 993
    imap_security: str = "tls"
    imap_user: str = ""
    imap_password: str = ""
    imap_token: str = ""
    imap_folder: str = "INBOX"
    imap_timeout: int = 60
    imap_keyword: str = ""
    imap_move_to: str = ""
    smtp_host: str = ""
    smtp_port: int = 587
    smtp_security: str = "starttls"
    smtp_user: str = ""
    smtp_password: str = ""
    smtp_token: str = ""
    smtp_timeout: int = 60
    smtp_copy: str = "yes"
    token_file: str = ""
    letters_folder: str = ""
    letters_a_day: int = 2
    send_guide: str = "no"
    poll_minutes: int = 5
    quiet_minutes: int = 30
    look_minutes: int = 120
    reminder_days: tuple[int, ...] = (3, 7)
    same_sender_days: int = 21
    working_hours: str = "08:00-18:00"
    working_days: str = "Mon Tue Wed Thu Fri Sat"
    timezone: str = "Europe/London"
    retention_days: int = 730
    pictures_days: int = 0
    words_days: int = 0
    letters_days: int = 0
    scribe_mm: int = 20
    units_depth_mm: int = 650
    worktop_mm: int = 920
    spot_checks_percent: int = 15
    wrong_in_10000: int = 75
    labels: str = "no"
    host: str = "127.0.0.1"
    port: int = 8047
    behind_proxy: str = "no"
    proxy_address: str = "127.0.0.1"
    allow_passwords_in_clear: str = "no"
    session_key: str = ""
    metrics_token: str = ""
    alarm_address: str = ""
    desk_url: str = ""
    log_format: str = "text"
    showrooms: str = ""
    workers: int = 0
    checklists: Path = SHIPPED / "checklists"
    letters: Path = SHIPPED / "letters"

    @property
    def database(self) -> str:
        """The SQLAlchemy URL: the setting, or an SQLite file in the data folder."""
        return self.database_url or sqlite_url(self.data / "intake.sqlite3")

    @property
    def kept_days(self) -> dict[str, int]:
        """Days for which what is no original is kept, by kind; 0 for ever."""
        return {"pictures": self.pictures_days, "words": self.words_days, "letters": self.letters_days}

    @property
    def processes(self) -> int:
        """How many workers go the rounds."""
        return self.workers or (os.cpu_count() or 1 if self.showrooms else 1)

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.timezone)

    @property
    def days(self) -> frozenset[int]:
        """The working days, Monday 0."""
        return days_of(self.working_days)

    @property
    def hours(self) -> tuple[time, time]:
        return hours_of(self.working_hours)


def load_settings(environ: Mapping[str, str], data: str | None = None) -> Settings:
    """Settings from the file named by INTAKE_SETTINGS (else `default_file`), the environment, and `--data`.

    Raises SettingsError with one line that names the key, where it was set and what it may be.
    """
    return settled(values_given(environ, data))


Values = dict[str, tuple[Any, str]]
"""Each key that was set: its value as written, and where."""


def values_given(environ: Mapping[str, str], data: str | None = None) -> Values:
    """What file, environment and `--data` set, the later over the earlier. Raises SettingsError."""
    _refuse_unknown(environ)
    named = environ.get("INTAKE_SETTINGS")
    path = Path(named) if named else default_file()
    values = values_of_file(path, required=named is not None)
    for field in fields(Settings):
        name = f"INTAKE_{field.name.upper()}"
        if environ.get(name, "") != "":
            values[field.name] = (environ[name], name)
    if data:
        values["data"] = (data, "--data")
    return values


def settled(values: Values) -> Settings:
    """The settings that these values make. Raises SettingsError."""
    return _checked(Settings(**{key: _convert(key, raw, where) for key, (raw, where) in values.items()}))


def in_checkout() -> bool:
    return (PROJECT / "pyproject.toml").is_file()


def default_file() -> Path:
    """The settings file where INTAKE_SETTINGS names none: of the checkout, else of the machine."""
    return PROJECT / "config" / "intake.yaml" if in_checkout() else Path("/etc/intake/intake.yaml")


def values_of_file(path: Path, required: bool) -> Values:
    """What a settings file sets; nothing where there is none and none is `required`. Raises SettingsError."""
    if not path.is_file():
        if required:
            raise SettingsError(f"There is no settings file {path}", "Correct INTAKE_SETTINGS")
        return {}
    found = read_settings_file(path, [f.name for f in fields(Settings)], SECRETS)
    return {key: (value, str(path)) for key, value in found.items()}


def _refuse_unknown(environ: Mapping[str, str]) -> None:
    known = [f"INTAKE_{f.name.upper()}" for f in fields(Settings)]
    for name in sorted(environ):
        if name.startswith("INTAKE_") and name not in known and name not in NO_SETTINGS:
            raise SettingsError(f"There is no setting for the variable {name}", meant(name, known))


def _convert(key: str, raw: Any, where: str) -> Any:
    default = next(f.default for f in fields(Settings) if f.name == key)
    try:
        if isinstance(default, tuple):
            parts = raw if isinstance(raw, list) else str(raw).replace(",", " ").split()
            return tuple(int(p) for p in parts) if key == "reminder_days" else tuple(str(p) for p in parts)
        if isinstance(default, int):
            return int(raw)
        return Path(str(raw)) if isinstance(default, Path) else str(raw)
    except ValueError as error:
        raise SettingsError(f"{where}: {key} cannot be {raw!r}", "It must be a whole number") from error


def _checked(settings: Settings) -> Settings:
    for key in ("checklists", "letters"):
        if not getattr(settings, key).is_dir():
            raise SettingsError(f"{key}: there is no folder {getattr(settings, key)}", "Correct it")
    _in_range(settings)
    _kept_long_enough(settings)
    for key, allowed in CHOICES.items():
        if getattr(settings, key) not in allowed:
            raise SettingsError(
                f"{key} cannot be {getattr(settings, key)!r}", f"Use one of: {', '.join(allowed)}"
            )
    for address in (*settings.address, *filter(None, [settings.alarm_address])):
        if "@" not in address:
            raise SettingsError(
                f"address or alarm_address: {address!r} is no e-mail address", "Write name@domain"
            )
    try:
        _ = settings.zone, settings.hours, settings.days
    except (ZoneInfoNotFoundError, ValueError) as error:
        raise SettingsError(
            f"timezone, working_hours or working_days is wrong: {error}", "See docs/settings.md"
        ) from error
    if settings.proxy_address != "*" and not _is_address(settings.proxy_address):
        raise SettingsError(f"proxy_address: {settings.proxy_address!r} is no address", "Write 192.0.2.7")
    _nothing_in_clear(settings)
    return replace(settings, data=settings.data.absolute())


def _in_range(settings: Settings) -> None:
    for key, (least, most) in RANGES.items():
        given = getattr(settings, key)
        for number in given if isinstance(given, tuple) else (given,):
            if not least <= number <= most:
                raise SettingsError(f"{key} cannot be {number}", f"Use a whole number from {least} to {most}")


SHORTEST_KEPT = 30
"""Days: below it a customer who takes a month to answer would find nothing. Common practice, no source."""


def _kept_long_enough(settings: Settings) -> None:
    for key in ("retention_days", "pictures_days", "words_days", "letters_days"):
        if 0 < getattr(settings, key) < SHORTEST_KEPT:
            raise SettingsError(
                f"{key} cannot be {getattr(settings, key)}", f"Use {SHORTEST_KEPT} or more; 0 keeps for ever"
            )


def _nothing_in_clear(settings: Settings) -> None:
    """Passwords, and the desk with its cookies, go unencrypted to this machine itself only."""
    if settings.allow_passwords_in_clear == "yes":
        return
    open_ways = {
        "imap_security": (settings.imap_security == "none", settings.imap_host),
        "smtp_security": (settings.smtp_security == "none", settings.smtp_host),
        "host": (settings.behind_proxy == "no", settings.host),
    }
    for key, (in_clear, host) in open_ways.items():
        if in_clear and host and not is_loopback(host):
            raise SettingsError(
                f"{key}: passwords would cross the network to or from {host} in clear text",
                CLEAR_REMEDY[key],
            )


CLEAR_REMEDY = {
    "imap_security": "Use imap_security: tls or starttls",
    "smtp_security": "Use smtp_security: tls or starttls",
    "host": "Let the desk listen on 127.0.0.1, with a TLS proxy before it (deploy/proxy) and behind_proxy: yes",
}


def _is_address(host: str) -> bool:
    try:
        return bool(ip_address(host))
    except ValueError:
        return False


def is_loopback(host: str) -> bool:
    """Whether a host is this machine itself: RFC 6761 6.3, RFC 5735 3 (127/8), RFC 4291 2.5.3 (::1). From memory."""
    try:
        return ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host.lower().rstrip(".") == "localhost"


def warnings(settings: Settings) -> tuple[str, ...]:
    """What is right by itself and yet not what anybody wants, each in two sentences: what follows, and what to do."""
    found = []
    if not settings.authserv_id:
        found.append(
            "authserv_id is not set, so no sender counts as authenticated and every letter is held. Set it to the first"
            " word of the Authentication-Results headers that your own mail server writes (docs/mailbox.md)."
        )
    if not settings.address:
        found.append(
            "address is not set, so the tool cannot tell its own mail from customers'. Set it to the showroom's"
            " addresses, the one that signs the letters first."
        )
    return tuple(found)


def settings_from_process(data: str | None = None) -> Settings:
    """The settings of this process."""
    return load_settings(os.environ, data)


def sqlite_url(path: Path) -> str:
    """The SQLAlchemy URL of an SQLite file, whatever signs its path holds (RFC 3986 2.1)."""
    return f"sqlite:///{quote(str(path))}"
