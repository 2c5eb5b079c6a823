"""Sending freezes a revision; what came after it is said, and moves nothing that was sent."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from jobs.audit.models import Event
from jobs.kernel.errors import ServiceError
from jobs.work.models import Job
from quotes.engine.version import ENGINE_VERSION
from quotes.quoting import services
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries import gaps_of, price_rise, sheet_of
from stock.suppliers.models import SupplierPrice
from tests.factories import make_area, make_price
from tests.quotes.world import QuoteWorld, make_quote_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def world() -> QuoteWorld:
    return make_quote_world()


def lines_of(revision: Revision) -> list[Line]:
    return list(revision.lines.order_by("position"))


def test_sending_freezes_everything(world: QuoteWorld, owner: Any, at: datetime) -> None:
    revision = world.send()
    before = sheet_of(revision)
    SupplierPrice.objects.update(pack_price=Decimal(1))
    make_area(world.survey, name="later")

    again = sheet_of(Revision.objects.get(pk=revision.pk))

    assert again == before
    assert revision.quote.reference == "Q-2026-0001"
    assert revision.snapshot is not None
    assert revision.snapshot["engine"] == ENGINE_VERSION
    assert revision.snapshot["answer"]["total"]["kits"] == 8
    assert Job.objects.get(pk=world.job.pk).stage == "quoted"
    assert Event.objects.filter(verb="send quote").count() == 1
    for write in (
        lambda: services.change_terms(revision_id=revision.pk, values={}, by=owner, at=at),
        lambda: services.remove_line(line_id=lines_of(revision)[0].pk, by=owner, at=at),
        lambda: services.send_revision(revision_id=revision.pk, to="a@b.example", by=owner, at=at),
    ):
        with pytest.raises(ServiceError, match="was sent and is frozen"):
            write()


def test_the_frozen_sheet_holds_no_cost(world: QuoteWorld) -> None:
    snapshot: Any = world.send().snapshot
    kept = str(snapshot["sheet"])

    assert "direct" not in kept
    assert "margin" not in kept
    assert "659.20" not in kept


def test_a_new_revision_replaces_the_one_sent(world: QuoteWorld, owner: Any, at: datetime) -> None:
    first = world.send()
    second = services.revise(revision_id=first.pk, by=owner, at=at)
    assert (second.number, second.net, second.is_draft) == (2, first.net, True)
    assert Revision.objects.get(pk=first.pk).state == "sent"

    services.send_revision(revision_id=second.pk, to="home@customer.example", by=owner, at=at)

    assert Revision.objects.get(pk=first.pk).state == "replaced"
    assert Revision.objects.get(pk=second.pk).quote.reference == "Q-2026-0001"


def test_a_changed_survey_must_be_priced_again(world: QuoteWorld, owner: Any, at: datetime) -> None:
    revision = world.start()
    make_area(world.survey, name="side")

    with pytest.raises(ServiceError, match="Price it again first"):
        services.send_revision(revision_id=revision.pk, to="a@b.example", by=owner, at=at)
    services.reprice(revision_id=revision.pk, by=owner, at=at)
    sent = services.send_revision(revision_id=revision.pk, to="a@b.example", by=owner, at=at)

    assert [line.quantity for line in lines_of(sent)] == [Decimal("42.160"), Decimal("38.400")]


def test_a_missing_price_stops_the_sending(world: QuoteWorld, owner: Any, at: datetime) -> None:
    SupplierPrice.objects.filter(item=world.sand).delete()
    revision = world.start()

    assert gaps_of(lines_of(revision)) == [
        f"'{world.sand.name}' has no supplier's price for 14 May 2026."
    ]
    with pytest.raises(ServiceError, match="A price is missing"):
        services.send_revision(revision_id=revision.pk, to="a@b.example", by=owner, at=at)


def test_risen_prices_are_told(world: QuoteWorld, owner: Any, at: datetime) -> None:
    revision = world.send()
    day = date(2026, 5, 20)
    assert price_rise(revision, day) is None
    make_price(world.supplier, world.kit, "50.00", valid_from=date(2026, 5, 18))

    assert price_rise(revision, day) == Decimal("60.00")  # 8 kits at £7.50 more

    new = services.revise(revision_id=revision.pk, by=owner, at=at + timedelta(days=6))
    services.reprice(revision_id=new.pk, by=owner, at=at + timedelta(days=6))
    fresh = Revision.objects.get(pk=new.pk)
    assert (fresh.direct - revision.direct, fresh.priced_on) == (Decimal("60.00"), day)
    assert Revision.objects.get(pk=revision.pk).net == revision.net
