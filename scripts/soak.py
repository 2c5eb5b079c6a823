"""Give the program hostile input for a long time and write what came of it to var/soak/.

`python scripts/soak.py [--minutes 10] [--seed N] [NAME...]` runs the named runs of RUNS, all by
default, sharing the time; exit 1 when one of them found a failure. The seed, printed and in the
report, gives the same run again.
"""

from __future__ import annotations

import argparse
import secrets
import sys
import time
from collections.abc import Sequence
from datetime import UTC, datetime
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from tests.soak.report import Report  # noqa: E402 - the tree's root must be on the path first

# Each module has run(seconds, seed) -> Report.
RUNS = {
    "documents": "tests.soak.documents",
    "web": "tests.soak.web",
}
SHOWN = 50


def written(name: str, report: Report, seconds: float) -> str:
    """Return the part of the report that one run has."""
    counts = ", ".join(f"{count} {what}" for what, count in sorted(report.counts.items()))
    lines = [f"## {name}", "", f"{seconds:.0f} s: {counts or 'nothing done'}."]
    lines += ["", f"{len(report.failures)} failures."]
    for failure in report.failures[:SHOWN]:
        lines += ["", "```", failure, "```"]
    return "\n".join(lines) + "\n"


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", choices=[*RUNS, []], help="runs; all by default")
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--seed", type=int, default=secrets.randbelow(10**9))
    parser.add_argument("--folder", type=Path, default=ROOT / "var" / "soak")
    options = parser.parse_args(arguments)
    names = options.names or list(RUNS)
    at = datetime.now(UTC)
    parts = [f"# Hostile input, {at:%Y-%m-%d %H:%M} UTC, seed {options.seed}\n"]
    failures = 0
    for name in names:
        begun = time.monotonic()
        report = import_module(RUNS[name]).run(options.minutes * 60 / len(names), options.seed)
        parts.append(written(name, report, time.monotonic() - begun))
        failures += len(report.failures)
    options.folder.mkdir(parents=True, exist_ok=True)
    file = options.folder / f"{at:%Y-%m-%dT%H%M%S}.md"
    file.write_text("\n".join(parts), encoding="utf-8")
    sys.stdout.write("\n".join(parts) + f"\nWritten to {file}\n")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
