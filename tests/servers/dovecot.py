"""A private Dovecot on loopback, with its own folder: a real IMAP and LMTP server for tests."""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import smtplib
import socket
import subprocess
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest
from imapclient import IMAPClient

from intake.mailbox.imap import ImapAccount
from tests.servers.ports import free_port

CONFIGURATION = """
base_dir = {d}/run
state_dir = {d}/state
log_path = {d}/dovecot.log
instance_name = intake-tests-{imap}
protocols = imap lmtp
listen = 127.0.0.1
ssl = {ssl}
{certificate}
disable_plaintext_auth = no
auth_mechanisms = plain login{bearers}
auth_failure_delay = 0
default_internal_user = dovecot
default_internal_group = dovecot
default_login_user = dovenull
mail_uid = mail
mail_gid = mail
first_valid_uid = 1
first_valid_gid = 1
mail_home = {d}/home/%u
mail_location = maildir:~/Maildir
recipient_delimiter = +
auth_username_format = %Ln
mail_max_userip_connections = 100
{token_passdb}
passdb {{
  driver = passwd-file
  mechanisms = plain login
  args = scheme=PLAIN username_format=%u {d}/passwd
}}
userdb {{
  driver = static
  args = uid=mail gid=mail home={d}/home/%u allow_all_users=yes
}}
namespace inbox {{
  inbox = yes
  separator = /
  mailbox Sent {{
    auto = subscribe
    special_use = \\Sent
  }}
}}
service imap-login {{
  inet_listener imap {{
    address = 127.0.0.1
    port = {imap}
  }}
  inet_listener imaps {{
    address = 127.0.0.1
    port = {imaps}
  }}
}}
service anvil {{
  # Else each refused login of the tests delays the next from the same address (doc.dovecot.org, auth penalty).
  unix_listener anvil-auth-penalty {{
    mode = 0
  }}
}}
service lmtp {{
  inet_listener lmtp {{
    address = 127.0.0.1
    port = {lmtp}
  }}
}}
"""

TOKEN_PASSDB = """
passdb {{
  driver = oauth2
  mechanisms = {mechanisms}
  args = {d}/tokens.conf
}}
"""


def why_not() -> str:
    """Why Dovecot cannot run here, or an empty string."""
    if shutil.which("dovecot") is None or shutil.which("doveadm") is None:
        return "Dovecot is not installed (apt-get install dovecot-imapd dovecot-lmtpd)"
    return "" if os.geteuid() == 0 else "Dovecot needs root to start its own users' processes"


@dataclass
class Dovecot:
    """A running server. Its users have the password "secret"; each test takes a user of its own."""

    folder: Path
    imap_port: int
    imaps_port: int
    lmtp_port: int
    certificate: Path | None

    def account(self, user: str, **more: object) -> ImapAccount:
        given: dict[str, object] = {
            "host": "127.0.0.1", "port": self.imap_port, "user": user, "password": "secret",
            "security": "none", "timeout": 30.0,
        }  # fmt: skip
        return ImapAccount(**(given | more))  # type: ignore[arg-type]

    def deliver(self, user: str, raw: bytes, sender: str = "ann@x.example") -> None:
        """By LMTP, as a mail server would: Dovecot adds Return-Path."""
        with smtplib.LMTP("127.0.0.1", self.lmtp_port) as lmtp:
            lmtp.sendmail(sender, [user], raw)

    @contextlib.contextmanager
    def client(self, user: str, folder: str = "INBOX") -> Iterator[IMAPClient]:
        """A person's own mail program."""
        with IMAPClient("127.0.0.1", self.imap_port, ssl=False, timeout=30) as client:
            client.login(user, "secret")
            client.select_folder(folder)
            yield client

    def append(self, user: str, messages: Sequence[bytes], folder: str = "INBOX") -> None:
        with self.client(user) as client:
            for raw in messages:
                client.append(folder, raw)

    def renumber(self, user: str) -> None:
        """Gives the mailbox a new UIDVALIDITY, as after a restore."""
        self._doveadm(
            "mailbox", "update", "-u", user, "--uid-validity", str(int(time.time()) + 1000), "INBOX"
        )

    def _doveadm(self, *arguments: str) -> None:
        command = ["doveadm", "-c", str(self.folder / "dovecot.conf"), *arguments]
        subprocess.run(command, check=True, timeout=20, capture_output=True)

    def start(self) -> None:
        subprocess.run(["dovecot", "-c", str(self.folder / "dovecot.conf")], check=True, timeout=20)
        deadline = time.monotonic() + 30
        while time.monotonic() < deadline:
            with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.imap_port), 1):
                return
            time.sleep(0.05)
        raise TimeoutError("Dovecot did not start")

    def stop(self) -> None:
        """As doveadm stop, which looks whether it has ended at pauses that grow to two seconds."""
        with contextlib.suppress(FileNotFoundError, ProcessLookupError):
            os.kill(int(self._pid_file.read_text()), signal.SIGTERM)
        deadline = time.monotonic() + 10
        while self._listens() and time.monotonic() < deadline:
            time.sleep(0.05)

    @property
    def _pid_file(self) -> Path:
        return self.folder / "run" / "master.pid"

    def _listens(self) -> bool:
        if self._pid_file.exists():
            return True
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", self.imap_port), 1):
            return True
        return False


@contextlib.contextmanager
def running(
    folder: Path, users: Sequence[str], certificate: Path | None = None, tokens: str = "", bearers: str = ""
) -> Iterator[Dovecot]:
    """Starts a server in `folder`, which Dovecot's own users must be able to enter, and stops it. `tokens` are its
    settings for access tokens ("" for none), `bearers` the SASL mechanisms that take them."""
    ports = [free_port() for _ in range(3)]
    server = Dovecot(folder, ports[0], ports[1], ports[2], certificate)
    for name in ("run", "state", "home"):
        (folder / name).mkdir(parents=True)
    shutil.chown(folder / "home", "mail", "mail")
    (folder / "passwd").write_text("".join(f"{user}:{{PLAIN}}secret::::::\n" for user in users))
    (folder / "tokens.conf").write_text(tokens)
    passdb = TOKEN_PASSDB.format(mechanisms=bearers, d=folder) if tokens else ""
    tls = f"ssl_cert = <{certificate}\nssl_key = <{certificate}" if certificate else ""
    (folder / "dovecot.conf").write_text(
        CONFIGURATION.format(
            d=folder,
            imap=ports[0],
            imaps=ports[1],
            lmtp=ports[2],
            ssl="yes" if certificate else "no",
            certificate=tls,
            token_passdb=passdb,
            bearers=f" {bearers}" if tokens else "",
        )
    )
    server.start()
    try:
        yield server
    finally:
        server.stop()


def certificate(folder: Path) -> Path:
    """A self-signed certificate and key for localhost in one file."""
    path = folder / "localhost.pem"
    subprocess.run(
        ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2", "-subj", "/CN=localhost",
         "-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1", "-keyout", str(folder / "key.pem"),
         "-out", str(folder / "cert.pem")],
        check=True, capture_output=True, timeout=60,
    )  # fmt: skip
    path.write_bytes((folder / "cert.pem").read_bytes() + (folder / "key.pem").read_bytes())
    return path


needs_dovecot = [pytest.mark.dovecot, pytest.mark.skipif(bool(why_not()), reason=why_not() or "installed")]
