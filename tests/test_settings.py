"""Settings that would destroy or give away: refused, with one line that names the key and what it may be."""

from __future__ import annotations

from dataclasses import fields
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from intake import wiring
from intake.mailbox.folder import FolderMailbox
from intake.model.errors import SettingsError
from intake.settings import RANGES, Settings, load_settings
from intake.work.collect import collect
from intake.work.purge import PurgeHeld, purge
from tests.work.mail import OURS, folder, message


def _numbers() -> set[str]:
    whole = {f.name for f in fields(Settings) if isinstance(f.default, int)}
    return whole | {f.name for f in fields(Settings) if isinstance(f.default, tuple) and f.name != "address"}


def test_every_number_has_a_range_that_its_default_is_in() -> None:
    assert set(RANGES) == _numbers()
    load_settings({})


@pytest.mark.parametrize("key", sorted(RANGES))
def test_a_number_out_of_its_range_is_refused(key: str) -> None:
    least, most = RANGES[key]
    for wrong in (least - 1, -1, most + 1, 10**12):
        with pytest.raises(SettingsError, match=f"{key} cannot be {wrong}"):
            load_settings({f"INTAKE_{key.upper()}": str(wrong)})
    assert load_settings({f"INTAKE_{key.upper()}": str(most)})


def test_working_hours_that_never_open_are_refused() -> None:
    for wrong in ("18:00-08:00", "08:00-08:00"):
        with pytest.raises(SettingsError, match="working_hours"):
            load_settings({"INTAKE_WORKING_HOURS": wrong})


CLEAR = {
    "imap_security": {"INTAKE_IMAP_SECURITY": "none", "INTAKE_IMAP_HOST": "{host}"},
    "smtp_security": {"INTAKE_SMTP_SECURITY": "none", "INTAKE_SMTP_HOST": "{host}"},
    "host": {"INTAKE_HOST": "{host}"},
}


@pytest.mark.parametrize("key", sorted(CLEAR))
def test_passwords_go_in_clear_to_this_machine_only(key: str) -> None:
    for here in ("127.0.0.1", "localhost", "::1", "127.0.0.8"):
        load_settings({name: value.format(host=here) for name, value in CLEAR[key].items()})
    for away in ("mail.showroom.example", "192.0.2.7", "0.0.0.0", "::", "localhost.showroom.example"):
        environ = {name: value.format(host=away) for name, value in CLEAR[key].items()}
        with pytest.raises(SettingsError, match=f"{key}: passwords would cross the network"):
            load_settings(environ)
        load_settings(environ | {"INTAKE_ALLOW_PASSWORDS_IN_CLEAR": "yes"})


def test_a_desk_behind_a_proxy_may_listen_further() -> None:
    load_settings({"INTAKE_HOST": "0.0.0.0", "INTAKE_BEHIND_PROXY": "yes"})


def test_a_purge_of_most_originals_asks_for_a_word(tmp_path: Path) -> None:
    settings = load_settings({"INTAKE_ADDRESS": OURS, "INTAKE_RETENTION_DAYS": "60"}, str(tmp_path / "data"))
    mail = folder(
        tmp_path / "mail", message("Ann <ann@x.example>", "Kitchen", "Hello", message_id="<1@x.example>")
    )
    with wiring.opened(settings) as services:
        collect(FolderMailbox(mail), services)
        later = type(services)(**vars(services) | {"clock": lambda: datetime.now(UTC) + timedelta(days=90)})
        with pytest.raises(PurgeHeld, match="1 of 1 originals"):
            purge(later)
        assert list((tmp_path / "data" / "raw").glob("*/*.eml"))
        assert purge(later, sure=True) == 1
        assert not list((tmp_path / "data" / "raw").glob("*/*.eml"))
