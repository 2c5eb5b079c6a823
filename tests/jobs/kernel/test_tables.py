from __future__ import annotations

from decimal import Decimal
from typing import Any

import django_tables2 as tables
import pytest

from jobs.costing.enums import Category, EntryKind
from jobs.costing.models import CostEntry
from jobs.kernel.tables import (
    DayColumn,
    FieldBookTable,
    FigureColumn,
    MoneyColumn,
    QuantityColumn,
    StateColumn,
    sum_of,
)
from tests.factories import AT, make_job

NB = "\N{NO-BREAK SPACE}"
ROWS: list[dict[str, Any]] = [
    {"area": Decimal("42.5"), "cost": Decimal(-12), "held": 1360000, "item": {"unit": "g"},
     "at": AT, "word": "held", "level": "stop"},
    {"area": None, "cost": Decimal("0.5"), "held": 3, "item": {"unit": "piece"},
     "at": AT, "word": "laying", "level": ""},
]  # fmt: skip


class Sample(FieldBookTable):
    area = FigureColumn(places=2, unit="m²", total=True)
    cost = MoneyColumn(total=True, sign=True)
    held = QuantityColumn(unit="item__unit")
    at = DayColumn(year=False)
    word = StateColumn(level="level")


def test_page_shows_figures_as_the_firm_writes_them() -> None:
    first, second = ([str(cell) for _, cell in row.items()] for row in Sample(ROWS).rows)
    assert first == [
        f"42.50{NB}m²", "−£12.00", f"1,360{NB}kg", "Thu 14 May",
        '<span class="state stop"><span aria-hidden="true">■</span> held</span>',
    ]  # fmt: skip
    assert second == [
        "–", "+£0.50", f"3{NB}pieces", "Thu 14 May", '<span class="state">laying</span>',
    ]  # fmt: skip


def test_file_gets_bare_values() -> None:
    head, first, second = Sample(ROWS).as_values()
    assert head == ["Area", "Cost", "Held", "At", "Word"]
    assert first == [Decimal("42.5"), Decimal(-12), 1360000, AT.date(), "held"]
    assert second == [None, Decimal("0.5"), 3, AT.date(), "laying"]


def test_totals_are_written_as_the_figures_above_them() -> None:
    columns = Sample(ROWS).columns
    assert (columns["area"].footer, columns["cost"].footer) == (f"42.50{NB}m²", "−£11.50")


@pytest.mark.django_db
def test_database_adds_money_to_the_penny(owner: Any, django_assert_num_queries: Any) -> None:
    job = make_job()
    assert sum_of(CostEntry.objects.all(), "amount") == 0
    for pence in (10, 20, 105):
        amount: Any = Decimal(pence) / 100
        CostEntry.objects.create(
            job=job,
            kind=EntryKind.ACTUAL,
            category=Category.LABOUR,
            what="hours",
            by=owner,
            amount=amount,
            day=AT.date(),
            at=AT,
            source="test",
            source_id=pence,
            key=f"test-{pence}",
        )
    with django_assert_num_queries(1):
        assert sum_of(CostEntry.objects.order_by("day"), "amount") == Decimal("1.35")


def test_a_reference_is_one_word() -> None:
    class JobTable(FieldBookTable):
        job = tables.Column(accessor="job__reference")
        title = tables.Column()

    rows = JobTable([{"job": {"reference": "J-2026-0031"}, "title": "Drive"}])
    assert rows.columns["job"].attrs["td"]["class"] == "nowrap"
    assert not rows.columns["title"].attrs["td"].get("class")


@pytest.mark.parametrize(
    ("query", "first"),
    [("", 0), ("page=2", 25), ("page=x", 0), ("page=9", 0), ("page=-1&per_page=-1", 0)],
)
def test_a_table_within_a_page_is_paged_and_of_one_size(query: str, first: int, rf: Any) -> None:
    class Plain(FieldBookTable):
        at = tables.Column()

    table = Plain([{"at": n} for n in range(30)], request=rf.get(f"/?{query}"))

    assert [row.record["at"] for row in table.page.object_list][:1] == [first]
    assert len(table.page.object_list) == min(25, 30 - first)
