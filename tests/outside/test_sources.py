import pytest

from tests.outside import test_facts_measurement
from tests.outside.sources import FACTS, fact


def test_a_mark_is_kept_with_its_test_source_and_rows() -> None:
    mine = [each for each in FACTS if each.test.startswith(test_facts_measurement.__name__)]
    heron = next(each for each in mine if each.test.endswith("triangles_by_three_sides"))
    assert (heron.rows, heron.mark) == (3, "memory")
    assert heron.what == "Triangles 13-14-15, 3-4-5 and 7-8-9: 84, 6 and 26.8328 m²."


def test_a_fact_without_source_or_with_an_unknown_mark_is_refused() -> None:
    with pytest.raises(ValueError, match="rows, a source"):
        fact(rows=1, source="", mark="seen")
    with pytest.raises(ValueError, match="rows, a source"):
        fact(rows=1, source="x", mark="heard")
