"""Run every gate, print one line for each with its time, and what a failed one had to say.

`python scripts/check.py [NAME...]` runs those named, all by default; exit 1 when one fails.
"""

from __future__ import annotations

import argparse
import os
import secrets
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BIN = Path(sys.executable).parent
CODE = ("config", "jobs", "stock", "quotes", "tests", "scripts", "manage.py")


@dataclass(frozen=True)
class Gate:
    """One command of the check; it passes when it exits 0."""

    name: str
    command: tuple[str, ...]
    environment: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Verdict:
    gate: Gate
    passed: bool
    seconds: float
    output: str


def tool(name: str, *arguments: str) -> tuple[str, ...]:
    """Return the command of a tool that the environment brings."""
    return (str(BIN / name), *arguments)


def python(*arguments: str) -> tuple[str, ...]:
    return (sys.executable, *arguments)


def gates(var: Path) -> list[Gate]:
    """Return the gates, the slowest first; `var` is an empty folder for what they leave."""
    here = {"RESINWRIGHT_VAR": str(var), "DATABASE_URL": ""}
    production = here | {
        "RESINWRIGHT_PRODUCTION": "1",
        "RESINWRIGHT_SECRET_KEY": secrets.token_urlsafe(50),
        "RESINWRIGHT_HOSTS": "yard.example",
    }
    shell = [str(path) for path in sorted((*ROOT.glob("scripts/*.sh"), *ROOT.glob(".ci/*")))]
    return [
        Gate("types", tool("mypy", *CODE), here),
        Gate("style", tool("ruff", "check", ".")),
        Gate("format", tool("ruff", "format", "--check", ".")),
        Gate("layers", tool("lint-imports", "--no-cache"), here),
        Gate("dependencies", tool("deptry", ".")),
        Gate("migrations", python("manage.py", "makemigrations", "--check", "--dry-run"), here),
        Gate(
            "deployment",
            python("manage.py", "check", "--deploy", "--fail-level", "WARNING"),
            production,
        ),
        Gate("templates", tool("djlint", "templates", "--lint", "--quiet")),
        Gate("sizes", python("scripts/budget.py")),
        Gate("shell", ("bash", "-c", 'for file; do bash -n "$file" || exit 1; done', "-", *shell)),
    ]


def run(gate: Gate) -> Verdict:
    """Run one gate and keep what it said."""
    begun = time.perf_counter()
    environment = {**os.environ, **gate.environment}
    environment.pop("DJANGO_SETTINGS_MODULE", None)
    done = subprocess.run(  # noqa: S603 - our own commands
        gate.command,
        cwd=ROOT,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )
    return Verdict(gate, done.returncode == 0, time.perf_counter() - begun, done.stdout)


def report(verdict: Verdict) -> str:
    word = "ok" if verdict.passed else "FAILED"
    line = f"{verdict.gate.name:<14}{word:<8}{verdict.seconds:6.1f} s"
    return line if verdict.passed else f"{line}\n{verdict.output.rstrip()}\n"


def chosen(names: Sequence[str], var: Path) -> list[Gate]:
    """Return the gates of those names, all when none is given; an unknown name exits 2."""
    every = gates(var)
    unknown = set(names) - {gate.name for gate in every}
    if unknown:
        known = ", ".join(gate.name for gate in every)
        sys.stderr.write(f"No gate is called {', '.join(sorted(unknown))}; there are: {known}.\n")
        sys.exit(2)
    return [gate for gate in every if not names or gate.name in names]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", help="gates to run; all by default")
    names = parser.parse_args().names
    var = Path(tempfile.mkdtemp(prefix="resinwright-check-"))
    try:
        # Two at once: the type checker takes most of the time, and it has one core's worth of work.
        with ThreadPoolExecutor(max_workers=2) as pool:
            failed = 0
            for verdict in pool.map(run, chosen(names, var)):
                failed += not verdict.passed
                sys.stdout.write(report(verdict) + "\n")
                sys.stdout.flush()
    finally:
        shutil.rmtree(var, ignore_errors=True)
    sys.stdout.write("All gates passed.\n" if not failed else f"{failed} of the gates failed.\n")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
