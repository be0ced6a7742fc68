"""Logging in by an OAuth 2 access token: at a real Dovecot that asks a token server, and at a real SMTP server."""

from __future__ import annotations

import base64
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, AuthResult

from intake.cli import main
from intake.mailbox.imap import ImapMailbox
from intake.model.bearer import Bearer, Mechanism
from intake.model.errors import MailboxUnreachable
from intake.postbox.smtp import SmtpPostbox, SmtpServer
from tests.servers.dovecot import Dovecot, needs_dovecot, running
from tests.servers.ports import free_port
from tests.servers.tokens import Tokens, token_server

pytestmark = pytest.mark.filterwarnings("ignore:Requiring AUTH while not requiring TLS")  # this is loopback
GOOD, STALE = "ya29.good-token_~+/=", "ya29.stale"


@pytest.fixture(scope="module", params=["xoauth2", "oauthbearer xoauth2"])
def server(request: pytest.FixtureRequest) -> Iterator[tuple[Dovecot, Tokens]]:
    """A server that takes access tokens by the mechanisms named."""
    folder = Path(tempfile.mkdtemp(prefix="intake-dovecot-"))
    folder.chmod(0o755)
    try:
        with (
            token_server() as tokens,
            running(folder, ["shared"], None, tokens.settings(), request.param) as dovecot,
        ):
            tokens.users[GOOD] = "shared"
            tokens.users["ya29.jon"] = "jon"
            dovecot.append("shared", [b"From: a@x.example\r\nSubject: Kitchen\r\n\r\nHello\r\n"])
            yield dovecot, tokens
    finally:
        shutil.rmtree(folder, ignore_errors=True)


class TestMailbox:
    pytestmark = needs_dovecot

    def test_a_good_token_opens_the_mailbox(self, server: tuple[Dovecot, Tokens], tmp_path: Path) -> None:
        dovecot, _ = server
        mailbox = ImapMailbox(dovecot.account("shared", password="", token=GOOD))
        [delivery] = mailbox.deliveries()
        delivery.fetch(tmp_path / "m")
        assert b"Subject: Kitchen" in (tmp_path / "m").read_bytes()
        mailbox.close()

    @pytest.mark.parametrize("token", [STALE, "ya29.jon"])
    def test_a_refused_token_says_so_in_one_line(self, server: tuple[Dovecot, Tokens], token: str) -> None:
        """A stale token; and another person's, which must not open this mailbox."""
        dovecot, _ = server
        with pytest.raises(MailboxUnreachable, match="refused the login of shared") as fault:
            list(ImapMailbox(dovecot.account("shared", token=token)).deliveries())
        line = fault.value.line()
        assert "token" in line
        assert "\n" not in line
        assert token not in line

    def test_the_password_still_works_beside_tokens(self, server: tuple[Dovecot, Tokens]) -> None:
        list(ImapMailbox(server[0].account("shared")).deliveries())

    def test_collect_takes_a_token_from_the_environment_or_a_file(
        self,
        server: tuple[Dovecot, Tokens],
        tmp_path: Path,
        monkeypatch: pytest.MonkeyPatch,
        capsys: pytest.CaptureFixture[str],
    ) -> None:
        """Exit 0 with a good token, 1 with a refused one (the mailbox could not be reached), 2 with no token at all."""
        for key, value in {
            "IMAP_HOST": "127.0.0.1", "IMAP_PORT": str(server[0].imap_port), "IMAP_SECURITY": "none",
            "IMAP_USER": "shared", "ADDRESS": "s@s.example", "DATA": str(tmp_path / "data"),
        }.items():  # fmt: skip
            monkeypatch.setenv(f"INTAKE_{key}", value)
        monkeypatch.setenv("INTAKE_IMAP_TOKEN", GOOD)
        assert main(["collect"]) == 0
        monkeypatch.setenv("INTAKE_IMAP_TOKEN", STALE)
        capsys.readouterr()
        assert main(["collect"]) == 1
        err = capsys.readouterr().err
        assert err.count("\n") == 1
        assert "refused the login" in err
        monkeypatch.delenv("INTAKE_IMAP_TOKEN")
        monkeypatch.setenv("INTAKE_TOKEN_FILE", str(tmp_path / "token"))
        assert main(["collect"]) == 2
        assert "token_file" in capsys.readouterr().err
        (tmp_path / "token").write_text(f"{GOOD}\n")
        assert main(["collect"]) == 0


class Receiver:
    """Takes letters from whoever shows the good token (RFC 7628 by RFC 4954)."""

    def __init__(self) -> None:
        self.said: list[bytes] = []
        self.taken: list[bytes] = []

    async def auth_OAUTHBEARER(self, server: SMTP, arguments: list[str]) -> AuthResult:
        self.said.append(base64.b64decode(arguments[1]))
        if f"auth=Bearer {GOOD}\x01".encode() in self.said[-1]:
            return AuthResult(success=True)
        dummy = await server.challenge_auth('{"status":"invalid_token"}')
        self.said.append(bytes(dummy))  # type: ignore[arg-type]
        return AuthResult(success=False, handled=False)

    async def handle_DATA(self, server: SMTP, session: object, envelope: object) -> str:
        self.taken.append(envelope.content)  # type: ignore[attr-defined]
        return "250 taken"


@pytest.fixture
def receiver() -> Iterator[tuple[Receiver, SmtpServer]]:
    handler, port = Receiver(), free_port()
    controller = Controller(
        handler, "127.0.0.1", port, ready_timeout=10, auth_require_tls=False, auth_required=True
    )
    controller.start()
    try:
        yield (
            handler,
            SmtpServer("127.0.0.1", port, "s@s.example", "shared", token=GOOD, security="none", timeout=5),
        )
    finally:
        controller.stop()


LETTER = b"From: s@s.example\r\nTo: ann@x.example\r\n\r\nHello\r\n"


def test_a_letter_goes_out_by_a_token(receiver: tuple[Receiver, SmtpServer]) -> None:
    handler, server = receiver
    outcome = SmtpPostbox(server).send(("ann@x.example",), LETTER)
    assert outcome.state == "sent", outcome.answer
    assert handler.taken == [LETTER]
    # The response of RFC 7628 4.1's example, with this user, host and token.
    assert handler.said == [
        f"n,a=shared,\x01host=127.0.0.1\x01port={server.port}\x01auth=Bearer {GOOD}\x01\x01".encode()
    ]


def test_a_refused_token_sends_nothing_and_is_tried_again(receiver: tuple[Receiver, SmtpServer]) -> None:
    handler, server = receiver
    outcome = SmtpPostbox(replace(server, token=STALE)).send(("ann@x.example",), LETTER)
    assert outcome.state == "try-again"
    assert "535" in outcome.answer
    assert STALE not in outcome.answer
    assert handler.taken == []
    assert handler.said[1] == b"\x01"  # RFC 7628 3.2.3: the client's dummy response


def test_a_user_name_is_escaped_as_sasl_asks() -> None:
    """Source: RFC 5801 4 (saslname): "," is written =2C and "=" =3D."""
    said = Bearer(Mechanism.OAUTHBEARER, "a=b,c@x.example", "T", "h.example", 993)()
    assert said.startswith("n,a=a=3Db=2Cc@x.example,\x01")
