"""Write docs/outside-facts.md from the tests: which published figures they repeat, and from where.

`python scripts/outside_facts.py` writes the page; with `--check` it writes nothing and exits 1 when
the committed page is not what the tests give.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from types import ModuleType

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "docs" / "outside-facts.md"
sys.path.insert(0, str(ROOT))

from tests.outside.sources import FACTS, Fact  # noqa: E402 - the tree's root must be on the path

COUNTED = ("seen", "run")
PARTS = (
    (
        "Read at the source, or run in a library",
        COUNTED,
        """\
The expected figure stands in the test as it was read at that address ('seen') or as a
general-purpose library printed it ('run'). Only these count towards the figures above.""",
    ),
    (
        "Worked out",
        ("derived",),
        "Arithmetic from figures that were seen or run, by a formula that is stated.",
    ),
    ("From memory", ("memory",), "Textbook figures; nobody looked them up for this test."),
    (
        "Common practice, no source",
        ("common practice",),
        "What the trade does and says. Attributed to nobody, and no standard.",
    ),
)
HEAD = """\
# Figures from outside

Made from the tests by `make facts`; do not edit it by hand. Each line is a test of `tests/outside/`
that holds the program against something that we did not write: a standard, public guidance, a
worked example, a general-purpose library. The source is repeated beside the test.

{counted} rows from {sources} sources are literal expectations, read at the source or run in a
library. Besides them {others} rows are worked out, from memory, or common practice; they do not
count.
"""
BULK = """\
## Compared in bulk

No figure stands in these tests: the library is run beside the program, over a whole range.
"""


@dataclass(frozen=True)
class BulkCheck:
    """A test without rows of its own, which runs a general-purpose library beside the program."""

    test: str
    what: str


def modules() -> list[ModuleType]:
    """Return the modules of outside facts, whose import marks their facts."""
    paths = sorted((ROOT / "tests" / "outside").glob("test_facts_*.py"))
    return [import_module(f"tests.outside.{path.stem}") for path in paths]


def gather() -> list[Fact]:
    """Return every marked fact, by test file and in each by its place."""
    names = {module.__name__ for module in modules()}
    known = [fact for fact in FACTS if fact.test.partition("::")[0] in names]
    return sorted(known, key=lambda fact: fact.test.partition("::")[0])


def bulk_checks() -> list[BulkCheck]:
    """Return the tests that carry no mark, in their order."""
    found = []
    for module in modules():
        marked = {fact.test for fact in FACTS}
        for name, test in vars(module).items():
            label = f"{module.__name__}::{name}"
            if name.startswith("test_") and callable(test) and label not in marked:
                found.append(BulkCheck(label, (test.__doc__ or name).strip().split("\n")[0]))
    return found


def rows_and_sources(facts: Iterable[Fact], marks: Iterable[str]) -> tuple[int, int]:
    """Return how many rows carry one of the marks, and from how many sources."""
    chosen = [fact for fact in facts if fact.mark in tuple(marks)]
    return sum(fact.rows for fact in chosen), len({fact.source for fact in chosen})


def cell(text: str) -> str:
    """Return a text as it may stand in a table."""
    return " ".join(text.split()).replace("|", "\\|")


def table(facts: Iterable[Fact]) -> list[str]:
    lines = ["| what | rows | source | mark | test |", "|---|--:|---|---|---|"]
    for fact in facts:
        source = f"<{fact.source}>" if fact.source.startswith("http") else cell(fact.source)
        lines.append(
            f"| {cell(fact.what)} | {fact.rows} | {source} | {fact.mark} | {short(fact.test)} |"
        )
    return lines


def short(test: str) -> str:
    """Return a test's file and name, as code."""
    module, _, name = test.partition("::")
    return f"`{module.rpartition('.')[2]}.py::{name}`"


def page(facts: list[Fact], bulk: list[BulkCheck]) -> str:
    """Return the whole page."""
    counted, sources = rows_and_sources(facts, COUNTED)
    others = sum(fact.rows for fact in facts) - counted
    lines = [HEAD.format(counted=counted, sources=sources, others=others)]
    for title, marks, words in PARTS:
        chosen = [fact for fact in facts if fact.mark in marks]
        if chosen:
            rows, named = rows_and_sources(chosen, marks)
            count = f"{rows} rows" + (f" from {named} sources" if marks == COUNTED else "")
            lines += [f"## {title}", "", words, "", f"{count}.", "", *table(chosen), ""]
    if bulk:
        lines += [BULK, "| what | test |", "|---|---|"]
        lines += [f"| {cell(check.what)} | {short(check.test)} |" for check in bulk]
    return "\n".join(lines).rstrip() + "\n"


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--check", action="store_true", help="compare only; exit 1 on a difference")
    check = parser.parse_args(arguments).check
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    import django  # noqa: PLC0415 - only the script needs it; under pytest it is ready

    django.setup()
    made = page(gather(), bulk_checks())
    if not check:
        PAGE.write_text(made, encoding="utf-8")
        return 0
    if PAGE.exists() and PAGE.read_text(encoding="utf-8") == made:
        return 0
    sys.stderr.write("docs/outside-facts.md is not what the tests give; run 'make facts'.\n")
    return 1


if __name__ == "__main__":
    sys.exit(main())
