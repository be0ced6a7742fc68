"""A token server on loopback: the introspection endpoint (RFC 7662) that Dovecot asks about an OAuth 2 access token."""

from __future__ import annotations

import contextlib
import json
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlsplit


@dataclass
class Tokens:
    """`users` says whose each good token is; any other is answered with {"active": false} (RFC 7662 2.2)."""

    users: dict[str, str] = field(default_factory=dict)
    port: int = 0

    def settings(self) -> str:
        """Dovecot's settings for its oauth2 passdb (doc.dovecot.org, Open Authentication v2.0)."""
        return (
            f"introspection_url = http://127.0.0.1:{self.port}/introspect?token=\nintrospection_mode = get\n"
            "force_introspection = yes\nusername_attribute = username\nactive_attribute = active\n"
            "active_value = true\n"
        )


@contextlib.contextmanager
def token_server() -> Iterator[Tokens]:
    tokens = Tokens()

    class Introspection(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            [token] = parse_qs(urlsplit(self.path).query).get("token", [""])
            user = tokens.users.get(token)
            answer = json.dumps({"active": True, "username": user} if user else {"active": False}).encode()
            self.send_response(200)
            self.send_header("Content-Type", "application/json")
            self.send_header("Content-Length", str(len(answer)))
            self.end_headers()
            self.wfile.write(answer)

        def log_message(self, format: str, *arguments: Any) -> None:
            """Says nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Introspection)
    tokens.port = server.server_address[1]
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield tokens
    finally:
        server.shutdown()
        server.server_close()
