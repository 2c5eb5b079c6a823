"""Writing a quote: drafted from the survey, changed, frozen, superseded."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

import pytest

from jobs.kernel.errors import ServiceError
from jobs.work.models import Job
from quotes.quoting import services
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries import sheet_of
from tests.factories import make_price, make_supplier
from tests.quotes.world import QuoteWorld, make_quote_world, make_work_item

pytestmark = pytest.mark.django_db


@pytest.fixture
def world() -> QuoteWorld:
    return make_quote_world()


def lines_of(revision: Revision) -> list[Line]:
    return list(revision.lines.order_by("position"))


def test_lines_are_drafted_from_survey_and_price_book(world: QuoteWorld) -> None:
    revision = world.start()

    surface, edge = lines_of(revision)
    assert (surface.kind, surface.quantity) == ("surface", Decimal("21.080"))
    # by hand: 8 kits at 42.50, 32 and 8 bags at 7.40 and 8.10, 8 bags of sand at 2.20: 659.20; nine
    # lengths of edging at 9.95: 89.55; the supplier's carriage of 45.00 once, shared by value
    assert surface.materials == Decimal("698.82")
    carried = [
        Decimal(row["amount"]) for line in (surface, edge) for row in line.workings
        if row["what"].endswith("carriage")
    ]  # fmt: skip
    assert sum(carried) == Decimal("45.00")
    assert sum(Decimal(row["cost"]) for row in surface.stock) == Decimal("698.82")
    # 21.08 m² × 0.55 h × £30 and × £1.20
    assert (surface.labour, surface.plant) == (Decimal("347.82"), Decimal("25.30"))
    assert (edge.work_item, edge.quantity) == (world.edge_work, Decimal("19.200"))
    # 19.2 m × 0.15 h × £30; 19.2 m and 5 % waste in lengths of 2.5 m
    assert (edge.labour, edge.materials) == (Decimal("86.40"), Decimal("94.93"))
    assert revision.direct == surface.direct + edge.direct
    assert revision.net == surface.net + edge.net


def test_lifting_away_is_drafted_where_the_base_is_replaced() -> None:
    world = make_quote_world(base_condition="replace")

    quantities = {line.work_item: line.quantity for line in lines_of(world.start())}

    assert quantities[world.lifting] == Decimal("21.080")


def test_work_is_drafted_as_chosen(world: QuoteWorld) -> None:
    revision = world.start(work_item_ids=[world.lifting.pk])

    assert [line.work_item for line in lines_of(revision)] == [None, world.lifting]


def test_edging_is_needed_in_whole_lengths(world: QuoteWorld) -> None:
    edge = lines_of(world.start())[1]

    # 19.2 m and 5 %: 20.16 m are nine lengths of 2.5 m
    assert edge.stock == [
        {
            "item": world.edging.pk, "quantity": 22_500, "phase": "prepare", "colour_group": "",
            "cost": "94.93", "wanted": "8.064000000",
        }
    ]  # fmt: skip


def test_a_survey_of_another_job_is_refused(world: QuoteWorld) -> None:
    with pytest.raises(ServiceError, match="not of this job"):
        world.start(survey_id=make_quote_world().survey.pk)


def test_a_second_draft_is_refused(world: QuoteWorld) -> None:
    world.start()

    with pytest.raises(ServiceError, match="in draft already"):
        world.start()


def test_terms_are_worked_out_at_once(world: QuoteWorld, owner: Any, at: datetime) -> None:
    revision = world.start()

    changed = services.change_terms(
        revision_id=revision.pk, values={"margin_percent": Decimal(0)}, by=owner, at=at,
    )  # fmt: skip

    assert changed.net == changed.direct + changed.overhead
    assert sum(line.net for line in lines_of(changed)) == changed.net


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"margin_percent": Decimal(100)}, "margin_percent"),
        ({"vat_code": "reduced", "vat_percent": Decimal(5)}, "vat_reason"),
        ({"vat_code": "reduced", "vat_percent": Decimal(20), "vat_reason": "x"}, "vat_percent"),
        ({"vat_percent": Decimal(5)}, "vat_percent"),
        ({"vat_percent": Decimal(17)}, ""),
        ({"vat_code": "zero", "vat_reason": "new"}, "vat_code"),
        ({"vat_code": "reverse", "vat_reason": "builder"}, "vat_code"),
        ({"valid_until": date(2026, 5, 1)}, "valid_until"),
    ],
)
def test_impossible_terms_are_refused_at_their_field(
    world: QuoteWorld, owner: Any, at: datetime, values: dict[str, Any], field: str
) -> None:
    revision = world.start()

    with pytest.raises(ServiceError) as refused:
        services.change_terms(revision_id=revision.pk, values=values, by=owner, at=at)

    assert (refused.value.field or "") == field
    assert Revision.objects.get(pk=revision.pk).version == revision.version


def test_reverse_charge_is_for_those_it_applies_to(owner: Any, at: datetime) -> None:
    customer = {
        "kind": "builder", "vat_number": "GB980780684", "reports_under_cis": True,
    }  # fmt: skip
    world = make_quote_world(customer=customer)
    revision = world.start()
    # chosen by itself, with the conditions that hold
    assert (revision.vat_code, revision.vat, revision.gross) == ("reverse", 0, revision.net)
    assert "both are registered for VAT" in revision.vat_reason
    values = {"vat_code": "standard", "vat_percent": Decimal(20)}
    services.change_terms(revision_id=revision.pk, values=values, by=owner, at=at)
    with pytest.raises(ServiceError, match="Reverse charge applies: both are registered"):
        services.send_revision(revision_id=revision.pk, to="a@b.example", by=owner, at=at)
    values = {"vat_code": "reverse", "vat_reason": "construction services, CIS reported"}

    changed = services.change_terms(revision_id=revision.pk, values=values, by=owner, at=at)

    assert (changed.vat, changed.gross) == (0, changed.net)
    assert "everse charge" in sheet_of(changed).vat_words
    job = Job.objects.get(pk=world.job.pk)
    job.customer.end_user_confirmed = True
    job.customer.save()
    with pytest.raises(ServiceError, match="confirmed in writing"):
        services.change_terms(revision_id=revision.pk, values=values, by=owner, at=at)


def test_the_second_of_two_people_is_told(world: QuoteWorld, owner: Any, at: datetime) -> None:
    revision = world.start()
    seen = revision.version
    services.change_terms(
        revision_id=revision.pk, values={"margin_percent": Decimal(30)}, version=seen,
        by=owner, at=at,
    )  # fmt: skip

    with pytest.raises(ServiceError, match="Somebody saved this quote"):
        services.change_terms(
            revision_id=revision.pk, values={"margin_percent": Decimal(10)}, version=seen,
            by=owner, at=at,
        )  # fmt: skip

    assert Revision.objects.get(pk=revision.pk).margin_percent == 30


def test_lines_are_added_changed_moved_and_removed(
    world: QuoteWorld, owner: Any, at: datetime
) -> None:
    revision = world.start()
    added = services.add_line(
        revision_id=revision.pk, kind="work", work_item_id=world.lifting.pk, by=owner, at=at
    )
    assert (added.quantity, added.measured) == (Decimal("21.08"), True)

    services.change_line(
        line_id=added.pk, words="Lift the lawn", quantity=Decimal(10), by=owner, at=at
    )
    changed = Line.objects.get(pk=added.pk)
    assert (changed.words, changed.measured) == ("Lift the lawn", False)
    assert changed.direct == Decimal("140.00")  # 10 m² × (0.25 h × £30 + £6.50)

    services.move_line(line_id=added.pk, up=True, by=owner, at=at)
    assert [line.pk for line in lines_of(revision)][1] == added.pk
    services.remove_line(line_id=added.pk, by=owner, at=at)

    fresh = Revision.objects.get(pk=revision.pk)
    assert (fresh.direct, fresh.net) == (revision.direct, revision.net)


def test_own_lines_options_and_discounts(world: QuoteWorld, owner: Any, at: datetime) -> None:
    revision = world.start()
    common = {"revision_id": revision.pk, "by": owner, "at": at}
    base = revision.net

    services.add_line(kind="free", words="Discount", fixed=Decimal("-50.00"), **common)
    option = services.add_line(kind="option", words="Step edge", fixed=Decimal(120), **common)
    services.add_line(kind="provisional", words="Soft ground", fixed=Decimal(300), **common)

    fresh = Revision.objects.get(pk=revision.pk)
    assert fresh.net == base - 50 + 300
    sheet = sheet_of(fresh)
    assert [(line.key, line.net, line.gross) for line in sheet.options] == [
        (option.pk, Decimal(120), Decimal(144))
    ]
    assert sum(line.gross for line in sheet.lines) == sheet.gross
    with pytest.raises(ServiceError, match="whole pounds"):
        services.add_line(kind="option", words="Odd", fixed=Decimal("9.99"), **common)
    with pytest.raises(ServiceError, match="below nothing"):
        services.add_line(kind="free", words="All of it", fixed=Decimal(-9999), **common)


@pytest.mark.parametrize(("kit", "materials"), [("40.00", "793.75"), ("36.80", "793.15")])
def test_a_cheaper_supplier_counts_where_his_carriage_does_not_eat_it(
    world: QuoteWorld, kit: str, materials: str
) -> None:
    # 8 kits: 20.00 saved against another carriage of 45.00, then 45.60
    make_price(make_supplier(), world.kit, kit)

    assert sum(line.materials for line in lines_of(world.start())) == Decimal(materials)


def test_an_item_that_nothing_measures_wants_its_quantity(
    world: QuoteWorld, owner: Any, at: datetime
) -> None:
    revision = world.start()
    skip = make_work_item("SKIP", "each", "none", {"plant": "240"})

    with pytest.raises(ServiceError, match="the survey does not say") as refused:
        services.add_line(
            revision_id=revision.pk, kind="work", work_item_id=skip.pk, by=owner, at=at
        )

    assert refused.value.field == "quantity"


def test_recomputing_forty_lines_takes_few_queries(
    world: QuoteWorld, owner: Any, at: datetime, django_assert_max_num_queries: Any
) -> None:
    revision = world.start()
    Line.objects.bulk_create(
        Line(revision=revision, position=10 + n, kind="free", words="x", quantity=1, unit="each",
             other=Decimal(10), direct=Decimal(10))
        for n in range(40)
    )  # fmt: skip

    with django_assert_max_num_queries(15):
        services.change_terms(
            revision_id=revision.pk, values={"margin_percent": Decimal(31)}, by=owner, at=at
        )
