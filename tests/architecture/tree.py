"""The tree as the house rules see it: rooms, the code, the files that git knows."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
APPS = ("jobs", "stock", "quotes")
NO_ROOMS = {"migrations", "management", "__pycache__"}


def rooms() -> Iterator[tuple[str, Path]]:
    """Yield app and folder of every room."""
    for app in APPS:
        for folder in sorted((ROOT / app).iterdir()):
            if folder.is_dir() and folder.name not in NO_ROOMS:
                yield app, folder


def tracked(*patterns: str) -> list[Path]:
    """Return the files that git knows or would take, by pattern."""
    done = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard", *patterns],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return [ROOT / name for name in done.stdout.split("\0") if name and (ROOT / name).is_file()]


def code() -> Iterator[Path]:
    """Yield every Python file of the program, migrations left out."""
    for package in ("config", *APPS):
        for path in sorted((ROOT / package).rglob("*.py")):
            if "migrations" not in path.parts:
                yield path


def run_python(program: str) -> str:
    """Run a program in a process of its own; return what it printed."""
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout
