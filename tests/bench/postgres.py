"""A PostgreSQL of the bench's own: on a unix socket, with fsync on, gone when the bench ends."""

from __future__ import annotations

import atexit
import json
import os
import pwd
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from functools import cache
from pathlib import Path
from typing import Any, Self

from tests.bench.clock import AbsentError

ROOT = Path(__file__).resolve().parents[2]
# What a small server of the firm would have; durability as it comes: fsync and full pages on.
SETTINGS = ("listen_addresses=", "max_connections=80", "shared_buffers=512MB", "fsync=on",
            "synchronous_commit=on", "max_wal_size=2GB", "checkpoint_timeout=30min")  # fmt: skip


def programs() -> Path:
    """Return the folder of PostgreSQL's programs, the newest; raises where there is none."""
    found = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/postgres"), key=lambda p: float(p.parts[4])
    )
    if not found:
        raise AbsentError("PostgreSQL is not installed (package postgresql)")
    if os.geteuid() == 0 and shutil.which("setpriv") is None:
        raise AbsentError("setpriv is not installed (package util-linux)")
    return found[-1].parent


def as_server(*command: str | Path) -> list[str]:
    """Return the command as the servers' user, since PostgreSQL refuses root."""
    if os.geteuid() != 0:
        return [str(part) for part in command]
    group = pwd.getpwnam("postgres").pw_gid
    return [
        "setpriv", "--reuid=postgres", f"--regid={group}", "--clear-groups", "--pdeathsig", "INT",
        "--", *(str(part) for part in command),
    ]  # fmt: skip


@cache
def folder() -> Path:
    """Start the server and return the folder of its socket; it ends with this process."""
    bin_folder = programs()
    home = Path(tempfile.mkdtemp(prefix="resinwright-bench-"))
    if os.geteuid() == 0:
        shutil.chown(home, "postgres")
    home.chmod(0o755)
    initdb = as_server(bin_folder / "initdb", "-D", home / "data", "-U", "bench", "-A", "trust",
                       "-E", "UTF8", "--locale=C.UTF-8")  # fmt: skip
    subprocess.run(initdb, cwd=home, check=True, capture_output=True)
    options = [word for setting in SETTINGS for word in ("-c", setting)]
    with (home / "log").open("wb") as log:
        server = subprocess.Popen(
            as_server(bin_folder / "postgres", "-D", home / "data", "-k", home, *options),
            cwd=home, stdout=log, stderr=log, stdin=subprocess.DEVNULL,
        )  # fmt: skip
    atexit.register(stop, server, home)
    for _ in range(300):
        if server.poll() is not None:
            raise RuntimeError((home / "log").read_text(errors="replace"))
        ready = subprocess.run(
            [bin_folder / "pg_isready", "-q", "-h", home], check=False, capture_output=True
        )
        if ready.returncode == 0:
            return home
        time.sleep(0.1)
    raise RuntimeError("PostgreSQL was not ready in 30 s.")


def stop(server: subprocess.Popen[bytes], home: Path) -> None:
    server.send_signal(signal.SIGINT)
    server.wait(timeout=30)
    shutil.rmtree(home, ignore_errors=True)


def database(name: str, template: str = "template1") -> str:
    """Make a database anew and return its URL; of a template it holds the very same rows."""
    home, bin_folder = folder(), programs()
    for command in (
        [str(bin_folder / "dropdb"), "--if-exists", "-h", str(home), "-U", "bench", name],
        [str(bin_folder / "createdb"), "-h", str(home), "-U", "bench", "-T", template, name],
    ):
        subprocess.run(command, check=True, capture_output=True)
    return url(name)


def url(name: str) -> str:
    return f"postgres://bench@/{name}?host={folder()}"


def conninfo(name: str) -> str:
    return f"host={folder()} user=bench dbname={name}"


def program(database_url: str, work: str, *arguments: object) -> tuple[list[str], dict[str, str]]:
    """Return the command and the environment of a function of tests.bench.yard_work."""
    command = [sys.executable, "-m", "tests.bench.yard_work", work, *map(str, arguments)]
    settings = {"DATABASE_URL": database_url, "DJANGO_SETTINGS_MODULE": "config.settings"}
    return command, os.environ | settings


def django(database_url: str, work: str, *arguments: object) -> Any:
    """Run a function of tests.bench.yard_work on a database, in a process of its own."""
    command, environment = program(database_url, work, *arguments)
    done = subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, check=False, env=environment
    )
    if done.returncode:
        raise RuntimeError(done.stderr[-3000:])
    return json.loads(done.stdout.splitlines()[-1])


class Talk:
    """A function of tests.bench.yard_work that answers line by line, in a process of its own."""

    def __init__(self, database_url: str, work: str) -> None:
        command, environment = program(database_url, work)
        # one seed for all, so that two processes differ in their database alone
        self.process = subprocess.Popen(
            command, cwd=ROOT, env=environment | {"PYTHONHASHSEED": "0"}, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip

    def __enter__(self) -> Self:
        self.first = self.answer()
        return self

    def __exit__(self, *_: object) -> None:
        assert self.process.stdin is not None
        self.process.stdin.close()
        self.process.wait(timeout=60)

    def answer(self) -> Any:
        assert self.process.stdout is not None
        line = self.process.stdout.readline()
        if not line:
            raise RuntimeError(f"The process ended with {self.process.wait(timeout=60)}.")
        return json.loads(line)

    def ask(self, line: str) -> Any:
        """Return the answer to a line."""
        assert self.process.stdin is not None
        self.process.stdin.write(line + "\n")
        self.process.stdin.flush()
        return self.answer()
