"""The services of docker-compose.yml as processes of this machine; see test_compose.py."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from tests.architecture import image

SECRETS = {"POSTGRES_PASSWORD": "figuresandletters7", "RESINWRIGHT_SECRET_KEY": "s" * 50}


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@dataclass
class Rig:
    """The services of the file, and what is put in the place of its addresses and ports."""

    folder: Path
    services: dict[str, Any]
    substitutions: dict[str, str]
    path: str
    environment: dict[str, str]
    running: dict[str, subprocess.Popen[bytes]] = field(default_factory=dict)

    def substituted(self, text: str) -> str:
        for old, new in self.substitutions.items():
            text = text.replace(old, new)
        return text

    def command(self, name: str) -> list[str]:
        return [self.substituted(word) for word in self.services[name]["command"]]

    def check_command(self, name: str) -> list[str]:
        """The service's health check, as compose would run it."""
        kind, *words = self.services[name]["healthcheck"]["test"]
        assert kind in {"CMD", "CMD-SHELL"}
        found = [self.substituted(word) for word in words]
        return found if kind == "CMD" else ["/bin/sh", "-c", *found]

    def environment_of(self, name: str) -> dict[str, str]:
        """What the image sets, what .env holds, what the file sets, in compose's order."""
        service = self.services[name]
        own = image.image_environment() if service.get("build") else {}
        own |= self.environment if service.get("env_file") else {}
        for key, value in service.get("environment", {}).items():
            own[key] = self.substituted(image.fill_in(str(value), SECRETS))
        if "RESINWRIGHT_STATIC_ROOT" in own:
            own["RESINWRIGHT_STATIC_ROOT"] = str(self.folder / "app" / "staticfiles")
        return own | {"PATH": self.path, "HOME": str(self.folder), "LC_ALL": "C.UTF-8"}

    def cwd(self, name: str) -> Path:
        return self.folder / ("app" if self.services[name].get("build") else name)

    def start(self, name: str) -> subprocess.Popen[bytes]:
        """Start a service; it dies with this process, and PostgreSQL never runs as root."""
        prefix = ["setpriv", "--pdeathsig", "TERM"]
        if name == "db" and os.geteuid() == 0:
            prefix += ["--reuid=postgres", "--regid=postgres", "--clear-groups"]
        with (self.folder / f"{name}.log").open("wb") as log:
            self.running[name] = subprocess.Popen(
                [*prefix, "--", *self.command(name)],
                cwd=self.cwd(name),
                env=self.environment_of(name) | {"PGDATA": str(self.folder / "db" / "data")},
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=subprocess.STDOUT,
            )
        return self.running[name]

    def log(self, name: str) -> str:
        return (self.folder / f"{name}.log").read_text(encoding="utf-8", errors="replace")

    def check(self, name: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            self.check_command(name),
            cwd=self.cwd(name),
            env=self.environment_of(name),
            capture_output=True,
            text=True,
            check=False,
            timeout=40,
        )

    def wait_until_well(self, name: str, seconds: float = 60) -> None:
        """Repeat the service's own health check until it passes."""
        end = time.monotonic() + seconds
        while True:
            done = self.check(name)
            if done.returncode == 0:
                return
            assert self.running[name].poll() is None, f"{name} ended:\n{self.log(name)}"
            said = done.stdout + done.stderr
            assert time.monotonic() < end, f"{name} is not well: {said}\n{self.log(name)}"
            time.sleep(0.3)


def prepare_database(folder: Path) -> None:
    """Do what the database image's entry point does: the data folder, the user, the database."""
    data, password = folder / "data", folder / "password"
    folder.mkdir()
    password.write_text(SECRETS["POSTGRES_PASSWORD"])
    user = []
    if os.geteuid() == 0:
        user = ["setpriv", "--reuid=postgres", "--regid=postgres", "--clear-groups", "--"]
        shutil.chown(folder, "postgres", "postgres")
        shutil.chown(password, "postgres", "postgres")
    binaries = postgres_folder()
    options = ["-U", "resinwright", "--pwfile", str(password), "-A", "scram-sha-256", "-E", "UTF8"]
    environment = {"PATH": os.environ["PATH"], "HOME": str(folder), "LC_ALL": "C.UTF-8"}
    subprocess.run(
        [*user, f"{binaries}/initdb", "-D", str(data), *options, "--no-sync"],
        cwd=folder,
        env=environment,
        check=True,
        capture_output=True,
    )
    subprocess.run(
        [*user, f"{binaries}/postgres", "--single", "-D", str(data), "postgres"],
        cwd=folder,
        env=environment,
        input=b"CREATE DATABASE resinwright;\n",
        check=True,
        capture_output=True,
    )
    with (data / "postgresql.auto.conf").open("a") as settings:
        settings.write("unix_socket_directories = ''\nfsync = off\n")


def postgres_folder() -> str:
    """Return where the newest PostgreSQL's programs are; skip the test where there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/postgres"))
    if not found:
        pytest.skip("PostgreSQL is not installed")
    return str(found[-1].parent)
