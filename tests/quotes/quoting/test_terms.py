"""Discount, floor, days on site, the document of a VAT rate, and the sample shown."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from jobs.attachments.models import Attachment
from jobs.audit.models import Event
from jobs.kernel.errors import ServiceError
from quotes.pricebook.services import add_firm_rates, add_rate
from quotes.quoting import services
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries import days_of, sheet_of
from quotes.quoting.rules import QuoteSheet, days_on_site
from tests.factories import make_blend, make_price
from tests.quotes.world import PDF, QuoteWorld, make_quote_world

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def world() -> QuoteWorld:
    return make_quote_world()


def terms(revision: Revision, at: datetime, **values: Any) -> Revision:
    return services.change_terms(revision_id=revision.pk, values=values, by=None, at=at)


def test_a_discount_is_a_line_and_all_adds_up(world: QuoteWorld, at: datetime) -> None:
    revision = world.start()
    services.add_line(
        revision_id=revision.pk, kind="provisional", words="Soft ground", fixed=D(300),
        by=None, at=at,
    )  # fmt: skip
    whole = revision.net

    share = terms(revision, at, discount_percent=D(10))
    off = share.lines.get(kind="discount")
    assert off.words == "Discount of 10 %"
    assert off.net == -(whole / 10).quantize(D("0.01"), "ROUND_HALF_UP")  # not on what comes later
    assert share.net == whole + 300 + off.net

    as_sum = terms(revision, at, discount_percent=D(0), discount_fixed=D(75))
    assert as_sum.net == whole + 300 - 75
    sheet = sheet_of(Revision.objects.get(pk=revision.pk))
    assert sheet.lines[-1].net == -75
    assert sum(line.net for line in sheet.lines) == sheet.net
    assert sum(line.gross for line in sheet.lines) == sheet.gross

    none = terms(revision, at, discount_fixed=D(0))
    assert (none.net, none.lines.filter(kind="discount").exists()) == (whole + 300, False)


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"discount_percent": D(5), "discount_fixed": D(5)}, "discount_fixed"),
        ({"discount_percent": D(101)}, "discount_percent"),
        ({"discount_fixed": D(-1)}, "discount_percent"),
        ({"discount_fixed": D(90_000)}, ""),
        ({"crew_size": 0}, "crew_size"),
    ],
)
def test_discounts_and_crews_that_cannot_be(
    world: QuoteWorld, at: datetime, values: dict[str, Any], field: str
) -> None:
    revision = world.start()

    with pytest.raises(ServiceError) as refused:
        terms(revision, at, **values)

    assert (refused.value.field or "") == field
    assert Revision.objects.get(pk=revision.pk).net == revision.net


def test_below_the_floor_it_goes_only_by_saying_so(
    world: QuoteWorld, owner: Any, at: datetime, client_for: Callable[[Any], Client]
) -> None:
    revision = terms(world.start(at=at), at, margin_percent=D(0), discount_fixed=D("0.01"))
    url = f"/quotes/{revision.pk}/"
    client = client_for(owner)
    assert "below the floor" in client.get(url).content.decode()

    with pytest.raises(ServiceError, match="below what the job costs us"):
        services.send_revision(revision_id=revision.pk, to="a@b.example", by=owner, at=at)
    with_box = client.get(f"{url}send/").content.decode()
    sent = services.send_revision(
        revision_id=revision.pk, to="a@b.example", below_floor=True, by=owner, at=at
    )

    assert 'name="below_floor"' in with_box
    assert sent.state == "sent"
    assert Event.objects.get(verb="send quote").after["below_floor"] is True
    at_the_floor = terms(make_quote_world().start(at=at), at, margin_percent=D(0))
    page = client.get(f"/quotes/{at_the_floor.pk}/send/").content.decode()
    assert 'name="below_floor"' not in page


def test_another_rate_needs_its_document(
    world: QuoteWorld, office: Any, at: datetime, client_for: Callable[[Any], Client]
) -> None:
    revision = world.start()
    reduced = {"vat_code": "reduced", "vat_percent": D(5), "vat_reason": "empty two years"}
    with pytest.raises(ServiceError, match="needs the document that shows why") as refused:
        terms(revision, at, **reduced)
    assert refused.value.field == "vat_code"

    url = f"/quotes/{revision.pk}/vat-document/"
    bad = client_for(office).post(url, {"file": SimpleUploadedFile("letter.exe", b"MZ")})
    done = client_for(office).post(url, {"file": SimpleUploadedFile("letter.pdf", PDF)})

    assert (bad.status_code, done.status_code) == (422, 302)
    changed = terms(revision, at, **reduced)
    assert changed.gross == changed.net + (changed.net * 5 / 100).quantize(
        D("0.01"), "ROUND_HALF_UP"
    )  # fmt: skip
    Attachment.objects.update(removed_at=at)
    with pytest.raises(ServiceError, match="needs the document that shows why"):
        services.send_revision(revision_id=revision.pk, to="a@b.example", by=None, at=at)


def test_days_on_site_by_hand() -> None:
    # 2 people, 8 h: 8 h of other work are half a day; 12 h of laying 0.75 of one: 1.25, so two days
    by_hours = days_on_site(
        hours=D(8), laying_hours=D(12), area_m2=D(40), crew=2, day_hours=D(8), pace_m2=D(100)
    )
    # 40 m² at 25 m² a day take longer than the hours: 0.5 + 1.6
    by_pace = days_on_site(
        hours=D(8), laying_hours=D(12), area_m2=D(40), crew=2, day_hours=D(8), pace_m2=D(25)
    )

    assert (by_hours.days, by_hours.by_pace) == (2, False)
    assert (by_pace.days, by_pace.by_pace) == (3, True)


def test_days_follow_lines_and_crew(world: QuoteWorld, at: datetime) -> None:
    revision = world.start()
    assert revision.pace_m2 is not None
    # 21.08 m² × 0.55 h and 19.2 m × 0.15 h are 14.47 h: a day of two people
    assert days_of(revision, list(revision.lines.all())).days == 1

    services.add_asked_line(
        revision_id=revision.pk, kind="travel",
        asked={"trips": 9, "hours": "2", "people": 2}, by=None, at=at,
    )  # fmt: skip
    alone = terms(revision, at, crew_size=1)

    assert days_of(alone, list(alone.lines.all())).days == 2  # the way is not the site
    assert alone.pace_m2 is not None
    assert alone.pace_m2 < revision.pace_m2


def test_the_sample_is_held_against_what_is_quoted(
    world: QuoteWorld, office: Any, at: datetime, client_for: Callable[[Any], Client]
) -> None:
    revision = world.start()
    note: dict[str, Any] = {
        "revision_id": revision.pk,
        "shown_on": date(2026, 5, 3),
        "signed_by": "A. B.",
    }
    services.note_sample(**note, blend_id=world.blend.pk, by=None, at=at)
    same = sheet_of(Revision.objects.with_job().get(pk=revision.pk))
    other = make_blend(kit=world.kit, components=[(world.stones[0], 4)], name="Silver")
    services.note_sample(**note, blend_id=other.pk, by=None, at=at)

    sheet = sheet_of(Revision.objects.with_job().get(pk=revision.pk))
    page = client_for(office).get(f"/quotes/{revision.pk}/").content.decode()

    assert same.sample == f"{world.blend}, shown on 3 May 2026, signed by A. B."
    assert same.sample_warning == ""
    warning = f"The sample shown was Silver; quoted is another blend for buff: {world.blend}."
    assert sheet.sample_warning == warning
    assert warning in page
    old = sheet.as_dict()
    del old["sample"], old["sample_warning"]
    assert QuoteSheet.from_dict(old).sample == ""


def test_an_options_caution_stands_beside_it(world: QuoteWorld, at: datetime) -> None:
    revision = world.start()
    line = services.add_line(
        revision_id=revision.pk, kind="option", words="Standard resin", fixed=D(-0) + D(40),
        caution="It yellows outdoors.", by=None, at=at,
    )  # fmt: skip

    services.change_line(line_id=line.pk, words="Standard resin", fixed=D(50), by=None, at=at)

    option = sheet_of(Revision.objects.with_job().get(pk=revision.pk)).options[0]
    assert (option.caution, option.net) == ("It yellows outdoors.", D(50))


def test_a_change_made_today_moves_no_quote_sent_yesterday(
    world: QuoteWorld, owner: Any, at: datetime
) -> None:
    sent = world.send()
    before = Revision.objects.filter(pk=sent.pk).values().get()
    lines = list(Line.objects.filter(revision=sent).values())
    today = at + timedelta(days=1)
    add_firm_rates(
        valid_from=today.date(), labour_hourly=D(99), overhead_percent=D(50),
        margin_percent=D(60), minimum_charge=D(90_000), crew_size=5, by=owner, at=today,
    )  # fmt: skip
    add_rate(
        work_item_id=world.laying.pk, valid_from=today.date(), labour_hours=D(9), by=owner, at=today
    )
    make_price(world.supplier, world.kit, "999.00", valid_from=today.date())

    sheet = sheet_of(Revision.objects.with_job().get(pk=sent.pk))

    assert Revision.objects.filter(pk=sent.pk).values().get() == before
    assert list(Line.objects.filter(revision=sent).values()) == lines
    assert sheet.as_dict() == before["snapshot"]["sheet"]
    new = services.revise(revision_id=sent.pk, by=owner, at=today)
    assert new.net == sent.net  # nor a new revision, until it is priced again
    services.reprice(revision_id=new.pk, by=owner, at=today)
    assert Revision.objects.get(pk=new.pk).direct > sent.direct
