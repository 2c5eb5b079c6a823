"""A gate at which processes wait for each other: a folder with a file for each, and one to go."""

from __future__ import annotations

import time
from pathlib import Path

PATIENCE = 180.0


def wait_at(gate: str | Path, number: object) -> None:
    """Say that this one is there, and wait until the gate opens."""
    folder = Path(gate)
    (folder / f"ready-{number}").touch()
    until(folder / "go")


def open_for(gate: str | Path, count: int) -> None:
    """Open the gate once so many are there."""
    folder = Path(gate)
    for number in range(count):
        until(folder / f"ready-{number}")
    (folder / "go").touch()


def until(path: Path) -> None:
    end = time.monotonic() + PATIENCE
    while not path.exists():
        if time.monotonic() > end:
            raise TimeoutError(f"{path.name} did not come in {PATIENCE:.0f} s.")
        time.sleep(0.005)
