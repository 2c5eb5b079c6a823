"""The page of the docs says what the tests check, and the tests check enough."""

from __future__ import annotations

import importlib
import inspect
import re
from pathlib import Path

from scripts.outside_facts import (
    COUNTED,
    PAGE,
    BulkCheck,
    bulk_checks,
    gather,
    page,
    rows_and_sources,
)  # fmt: skip
from tests.outside.sources import Fact

HERE = Path(__file__).parent
LIBRARIES = re.compile(r"\b(np|numpy|scipy|shapely|pvlib|psychrolib|stdnum|holidays)\b|_from_rh\(")
SEEN = Fact("tests.outside.test_facts_x::test_a", "A | b", 3, "https://guide.example/a", "seen")
KNOWN = Fact("tests.outside.test_facts_x::test_b", "B", 4, "a textbook", "memory")


def test_the_committed_page_is_what_the_tests_give() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(gather(), bulk_checks()), "run 'make facts'"


def test_at_least_sixty_literal_rows_come_from_at_least_twenty_sources() -> None:
    rows, sources = rows_and_sources(gather(), COUNTED)

    assert rows >= 60
    assert sources >= 20


def test_a_fact_from_memory_is_shown_and_does_not_count() -> None:
    made = page([SEEN, KNOWN], [BulkCheck("tests.outside.test_facts_x::test_c", "A grid")])

    assert rows_and_sources([SEEN, KNOWN], COUNTED) == (3, 1)
    assert "\n3 rows from 1 sources are literal expectations" in made
    assert made.endswith("| A grid | `test_facts_x.py::test_c` |\n")
    assert "Besides them 4 rows are worked out, from memory" in made
    assert "| A \\| b | 3 | <https://guide.example/a> | seen | `test_facts_x.py::test_a` |" in made
    assert made.index("## From memory") < made.index("| B | 4 | a textbook | memory |")


def test_a_test_without_a_source_runs_a_library_beside_the_program() -> None:
    """Whatever else stands in these files would be a check of ours against ourselves."""
    for check in bulk_checks():
        module, _, name = check.test.partition("::")
        text = inspect.getsource(getattr(importlib.import_module(module), name))
        assert LIBRARIES.search(text), f"{check.test} has neither a mark nor a library"


def test_each_file_of_outside_facts_has_marks() -> None:
    marked = {fact.test.partition("::")[0].rpartition(".")[2] for fact in gather()}

    assert marked == {path.stem for path in HERE.glob("test_facts_*.py")}
