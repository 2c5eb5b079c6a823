"""Runs server, worker and beat together for the demo, and ends all of them together."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
import webbrowser
from pathlib import Path
from types import FrameType

from django.conf import settings

from jobs.kernel.errors import ServiceError

PATIENCE = 10.0


def refuse_taken_port(port: int) -> None:
    """Raise ServiceError when something else answers on the port."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except OSError as error:
            raise ServiceError(
                f"Port {port} is taken by another program. Give another one: --port {port + 1}."
            ) from error


def commands(port: int) -> list[list[str]]:
    """Return the two commands of the demo: the web server, and the worker with its beat."""
    python = [sys.executable, "-m"]
    return [
        [
            *python, "gunicorn", "config.wsgi:application", "--bind", f"127.0.0.1:{port}",
            "--workers", "2", "--timeout", "60", "--log-level", "warning",
        ],
        [
            *python, "celery", "-A", "config", "worker", "--beat", "--pool", "solo",
            "--without-gossip", "--without-mingle", "--loglevel", "warning",
        ],
    ]  # fmt: skip


def firm_name() -> str:
    """Return what the demo firm is called, unless the environment says another name."""
    return os.environ.get("RESINWRIGHT_FIRM_NAME") or "Tarnholt Surfacing"


def mail_from() -> str:
    """Return the address the demo firm writes from, unless the environment says another one."""
    return os.environ.get("RESINWRIGHT_MAIL_FROM") or "office@tarnholt.example"


def serve(port: int) -> int:
    """Run until Ctrl-C or until the web server ends; returns the exit code.

    A worker that falls over is started again: the rows it had claimed are found by the sweeps.
    """
    environment = os.environ | {
        "RESINWRIGHT_SWEEP_SECONDS": os.environ.get("RESINWRIGHT_SWEEP_SECONDS", "60"),
        "RESINWRIGHT_BASE_URL": f"http://127.0.0.1:{port}",
        "RESINWRIGHT_FIRM_NAME": firm_name(),
        "RESINWRIGHT_MAIL_FROM": mail_from(),
    }
    web_command, worker_command = commands(port)
    stopping = False

    def stop(_signum: int, _frame: FrameType | None) -> None:
        nonlocal stopping
        stopping = True

    signal.signal(signal.SIGTERM, stop)
    signal.signal(signal.SIGINT, stop)
    log = (Path(settings.VAR) / "worker.log").open("ab")
    here = settings.BASE_DIR
    # Own sessions: a Ctrl-C reaches us alone, and we end both in order.
    web = subprocess.Popen(web_command, cwd=here, env=environment, start_new_session=True)  # noqa: S603 - our own commands
    worker = _start_worker(worker_command, environment, log)
    if os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"):
        webbrowser.open(f"http://127.0.0.1:{port}/")
    try:
        while not stopping and web.poll() is None:
            if worker.poll() is not None:
                time.sleep(2)
                worker = _start_worker(worker_command, environment, log)
            time.sleep(0.3)
    finally:
        _end(web, worker)
        log.close()
    return 0 if stopping else (web.returncode or 0)


def _start_worker(
    command: list[str], environment: dict[str, str], log: object
) -> subprocess.Popen[bytes]:
    process: subprocess.Popen[bytes] = subprocess.Popen(  # noqa: S603 - our own commands
        command,
        cwd=settings.BASE_DIR,
        env=environment,
        stdout=log,  # type: ignore[call-overload]
        stderr=log,
        start_new_session=True,
    )
    return process


def _end(*processes: subprocess.Popen[bytes]) -> None:
    for process in processes:
        if process.poll() is None:
            process.send_signal(signal.SIGTERM)
    end = time.monotonic() + PATIENCE
    for process in processes:
        try:
            process.wait(timeout=max(0.1, end - time.monotonic()))
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()
