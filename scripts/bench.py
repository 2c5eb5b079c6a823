"""Measure speed against the targets of tests/bench/targets.toml; print target, value, verdict.

`python scripts/bench.py [WORD...]` measures those whose name holds a word, all by default. An
absolute target that is missed is printed; a missed ratio, which the machine's mood cannot excuse,
and a measure that fails make the exit code 1. What this machine lacks is said, and not counted.
"""

from __future__ import annotations

import argparse
import sys
import time
import tomllib
import traceback
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from tests.bench.clock import AbsentError  # noqa: E402 - the tree's root must be on the path first

LIMITS = ("most", "least", "least_ratio")


@dataclass(frozen=True)
class Target:
    """One line of the targets' file; exactly one of the three limits is set."""

    name: str
    what: str
    measure: str
    unit: str
    most: float | None = None
    least: float | None = None
    least_ratio: float | None = None

    def __post_init__(self) -> None:
        if sum(getattr(self, limit) is not None for limit in LIMITS) != 1:
            raise ValueError(f"The target '{self.name}' needs exactly one of {', '.join(LIMITS)}.")

    @property
    def limit(self) -> str:
        if self.most is not None:
            return f"at most {self.most:g} {self.unit}"
        least = self.least if self.least is not None else self.least_ratio
        return f"at least {least:g} {self.unit}"

    def is_met_by(self, value: float) -> bool:
        if self.most is not None:
            return value <= self.most
        least = self.least if self.least is not None else self.least_ratio
        return least is not None and value >= least


@dataclass(frozen=True)
class Outcome:
    """What came of a target: the line to print, and whether it fails the run."""

    value: str
    verdict: str
    fails: bool = False


def targets(path: Path) -> list[Target]:
    return [Target(**entry) for entry in tomllib.loads(path.read_text("utf-8"))["target"]]


def measured(target: Target) -> Outcome:
    """Run the target's measure and judge it."""
    module, _, function = target.measure.partition(":")
    try:
        value = float(getattr(import_module(f"tests.bench.{module}"), function)())
    except AbsentError as absent:
        return Outcome("-", f"not measured: {absent}")
    except Exception:  # noqa: BLE001 - one broken measure must not hide the others
        return Outcome("-", f"BROKEN\n{traceback.format_exc()}", fails=True)
    if target.is_met_by(value):
        return Outcome(f"{value:.3g} {target.unit}", "met")
    ratio = target.least_ratio is not None
    return Outcome(f"{value:.3g} {target.unit}", "MISSED", fails=ratio)


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("words", nargs="*", help="parts of names; all by default")
    parser.add_argument("--targets", type=Path, default=ROOT / "tests" / "bench" / "targets.toml")
    options = parser.parse_args(arguments)
    failed = 0
    for target in targets(options.targets):
        if options.words and not any(word in target.name for word in options.words):
            continue
        begun = time.perf_counter()
        outcome = measured(target)
        failed += outcome.fails
        took = time.perf_counter() - begun
        sys.stdout.write(
            f"{target.name:<26}{target.limit:<20}{outcome.value:>14}  {outcome.verdict:<8}"
            f" ({target.what}; {took:.1f} s)\n"
        )
        sys.stdout.flush()
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
