"""A real mail server as a process of its own, and in how many ways one can fail.

Run as `python -m tests.jobs.outbox.servers MODE FOLDER`: it prints its port, keeps every mail it
accepts as a file in FOLDER, and behaves as MODE says.
"""

from __future__ import annotations

import asyncio
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from aiosmtpd.smtp import SMTP

SLOW_SECONDS = 8


@dataclass
class Behaviour:
    """How the server answers: `mode` is accepts, refuses, later, data, breaks or slow."""

    mode: str
    folder: Path

    async def handle_RCPT(  # noqa: N802 - aiosmtpd's name
        self, server: Any, session: Any, envelope: Any, address: str, options: Any
    ) -> str:
        if self.mode == "refuses":
            return "550 5.1.1 No such mailbox"
        if self.mode == "later":
            return "451 4.3.0 Try again later"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: Any, session: Any, envelope: Any) -> str:  # noqa: N802
        if self.mode == "data":
            return "452 4.3.1 Disk full"
        count = len(list(self.folder.iterdir()))
        (self.folder / f"{count}.eml").write_bytes(envelope.content)
        if self.mode == "breaks":
            # The mail is here, and the line goes before the answer.
            server.transport.abort()
            await asyncio.sleep(60)
        if self.mode == "slow":
            await asyncio.sleep(SLOW_SECONDS)
        return "250 OK"


class Mute(asyncio.Protocol):
    """Takes the call and never says a word: a server that is up, and too busy to greet."""


async def serve(mode: str, folder: Path) -> None:
    loop = asyncio.get_running_loop()
    server = await loop.create_server(
        Mute if mode == "mute" else lambda: SMTP(Behaviour(mode, folder), loop=loop),
        host="127.0.0.1", port=0,
    )  # fmt: skip
    sys.stdout.write(f"{server.sockets[0].getsockname()[1]}\n")
    sys.stdout.flush()
    await server.serve_forever()


@contextmanager
def mail_server(mode: str, folder: Path) -> Iterator[int]:
    """Run the server as a process; yields its port and ends it after."""
    folder.mkdir(parents=True, exist_ok=True)
    command = [sys.executable, "-m", "tests.jobs.outbox.servers", mode, str(folder)]
    root = Path(__file__).resolve().parents[3]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, cwd=root) as process:
        assert process.stdout is not None
        try:
            yield int(process.stdout.readline())
        finally:
            process.kill()


if __name__ == "__main__":
    asyncio.run(serve(sys.argv[1], Path(sys.argv[2])))
