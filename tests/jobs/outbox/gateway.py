"""A real HTTP server that takes texts, and in how many ways one can fail."""

from __future__ import annotations

import json
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

SLOW_SECONDS = 1.5


@dataclass
class Taken:
    """What reached the server, and how it answers: a status, 'breaks', 'slow' or 'words'."""

    mode: str = "202"
    port: int = 0
    texts: list[dict[str, Any]] = field(default_factory=list)
    tokens: list[str] = field(default_factory=list)


def handler_for(taken: Taken) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            content = self.rfile.read(int(self.headers["Content-Length"]))
            taken.texts.append(json.loads(content) | {"path": self.path})
            taken.tokens.append(self.headers.get("Authorization", ""))
            if taken.mode == "breaks":
                # The text is here, and the line goes before the answer.
                self.connection.close()
                return
            if taken.mode == "slow":
                time.sleep(SLOW_SECONDS)
            status = int(taken.mode) if taken.mode.isdecimal() else 200
            answer = b"thanks" if taken.mode == "words" else b'{"reference": "T-1"}'
            self.send_response(status)
            self.send_header("Content-Length", str(len(answer)))
            if status == 302:
                self.send_header("Location", f"http://127.0.0.1:{taken.port}/elsewhere")
            self.end_headers()
            self.wfile.write(answer)

        def log_message(self, *_: Any) -> None:
            """Say nothing on the terminal."""

    return Handler


class Server(ThreadingHTTPServer):
    daemon_threads = True

    def handle_error(self, *_: Any) -> None:
        """A line that the other side closed is what some tests want."""


@contextmanager
def gateway_server(mode: str = "202") -> Iterator[Taken]:
    """Run the server in threads of its own; yields what it takes and ends it after."""
    taken = Taken(mode)
    server = Server(("127.0.0.1", 0), handler_for(taken))
    taken.port = server.server_address[1]
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05})
    thread.start()
    try:
        yield taken
    finally:
        server.shutdown()
        server.server_close()
        thread.join(5)
