"""Opening, accepting the base, closing."""

from __future__ import annotations

import io
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from PIL import Image

from jobs.attachments.queries import attachments_of
from jobs.attachments.services import keep_file
from jobs.audit.models import Event
from jobs.kernel.errors import ServiceError
from jobs.work.models import Job
from stock.laying.models import Discrepancy, LayDay
from stock.laying.services import (
    BaseRefusedError,
    EveningRow,
    accept_base,
    close_day,
    evening_return,
    open_lay_day,
    reopen_day,
)
from tests.factories import AT, DAY, make_booking, make_job
from tests.stock.laying.world import GOOD, make_site_with, open_day, tap

pytestmark = pytest.mark.django_db
DAMP = GOOD | {"humidity_percent": Decimal("90.0"), "surface_c": Decimal("22.0")}


def test_a_day_is_opened_once_and_led_by_the_lead_of_its_crew(crew: Any, owner: Any) -> None:
    site = make_site_with(by=crew, issue=False)
    first = open_lay_day(job_id=site.job.pk, day=DAY, by=owner, at=AT)
    again = open_lay_day(job_id=site.job.pk, day=DAY, by=crew, at=AT)
    assert (again, first.lead, LayDay.objects.count()) == (first, crew, 1)
    assert Event.objects.filter(verb="lay.open").count() == 1


def test_a_day_that_has_not_come_is_not_opened() -> None:
    site = make_site_with(issue=False)
    with pytest.raises(ServiceError) as refusal:
        open_lay_day(job_id=site.job.pk, day=DAY + timedelta(days=1), by=None, at=AT)
    assert refusal.value.message == (
        "Friday 15 May has not come yet; open the day when it is there."
    )


@pytest.mark.parametrize("stage", ["enquiry", "quoted", "lost", "complete"])
def test_only_a_won_job_is_laid(stage: str) -> None:
    job = make_job(stage=stage, lost_reason="price" if stage == "lost" else "")
    with pytest.raises(ServiceError, match="there is nothing to lay"):
        open_lay_day(job_id=job.pk, day=DAY, by=None, at=AT)


def test_good_readings_are_accepted_and_the_job_is_on_site(crew: Any) -> None:
    site = make_site_with(issue=False)
    day = open_day(site, crew)
    assert (day.base_accepted_at, day.base_accepted_by, day.base_findings) == (AT, crew, [])
    assert Job.objects.get(pk=site.job.pk).stage == "on_site"


def test_bad_readings_ask_first_and_stand_with_who_decided(crew: Any) -> None:
    site = make_site_with(issue=False)
    day = open_day(site, accept=False)
    with pytest.raises(BaseRefusedError) as refusal:
        accept_base(lay_day_id=day.pk, by=crew, at=AT, **DAMP)
    assert [each.code for each in refusal.value.verdict.findings] == ["air_too_damp"]
    day.refresh_from_db()
    assert (day.base_accepted_at, day.air_c) == (None, None)

    day = accept_base(lay_day_id=day.pk, by=crew, at=AT, seen=True, **DAMP)
    assert day.base_accepted_by == crew
    assert [each["code"] for each in day.base_findings] == ["air_too_damp"]
    event = Event.objects.get(verb="lay.accept_base")
    assert event.by == crew
    assert "the humidity of 90 % is not below the limit of 85 %" in event.reason


def test_new_readings_keep_when_the_base_was_accepted(crew: Any) -> None:
    day = open_day(make_site_with(issue=False), crew)
    later = AT + timedelta(hours=3)
    warm = GOOD | {"surface_c": Decimal("27.5")}
    day = accept_base(lay_day_id=day.pk, by=crew, at=later, **warm)
    assert (day.base_accepted_at, day.readings_at) == (AT, later)
    assert day.surface_c == Decimal("27.5")
    assert Event.objects.filter(verb="lay.read_again").count() == 1


def test_a_dry_hour_that_is_past_is_asked_for_again() -> None:
    day = open_day(make_site_with(issue=False), accept=False)
    with pytest.raises(ServiceError) as refusal:
        accept_base(lay_day_id=day.pk, by=None, at=AT, dry_until=AT, **GOOD)
    assert refusal.value.field == "dry_until"


def test_photos_of_the_base_belong_to_the_day() -> None:
    day = open_day(make_site_with(issue=False), accept=False)
    data = io.BytesIO()
    Image.new("RGB", (60, 40), "grey").save(data, "JPEG")
    kept = keep_file(data=data.getvalue(), name="base.jpg")
    accept_base(lay_day_id=day.pk, by=None, at=AT, kept=[kept], **GOOD)
    assert [file.caption for file in attachments_of(day)] == ["the base"]


# -- closing -----------------------------------------------------------------------------------


def test_a_day_with_material_left_is_not_closed_before_the_balance() -> None:
    site = make_site_with(2)
    day = open_day(site)
    tap(site)
    with pytest.raises(ServiceError) as refusal:
        close_day(lay_day_id=day.pk, by=None, at=AT)
    assert refusal.value.code == "balance"
    assert f"1 kit of {site.lots['kit'].code}" in refusal.value.message
    tap(site)
    assert close_day(lay_day_id=day.pk, by=None, at=AT).closed_at == AT
    assert not Discrepancy.objects.exists()


def test_what_stays_for_a_later_day_does_not_hold_the_day_up() -> None:
    site = make_site_with(2)
    make_booking(site.job, day=DAY + timedelta(days=1))
    day = open_day(site)
    tap(site)
    assert close_day(lay_day_id=day.pk, by=None, at=AT).closed_at == AT


def test_nothing_is_lost_silently_when_a_balance_left_a_lot_out() -> None:
    site = make_site_with(1)
    day = open_day(site)
    evening_return(
        lay_day_id=day.pk, rows=[EveningRow(site.lots["kit"].pk, back=1)], place_id=site.bay.pk,
        key=uuid4(), by=None, at=AT,
    )  # fmt: skip
    close_day(lay_day_id=day.pk, by=None, at=AT)
    found = {row.lot: row.quantity for row in Discrepancy.objects.all()}
    assert found == {site.lots["stone"]: 80_000, site.lots["sand"]: 5_000}


def test_a_closed_day_can_be_opened_again() -> None:
    site = make_site_with(1)
    day = open_day(site)
    tap(site)
    # Half a bag of sand is left of the one bag that was issued.
    assert site.left("sand") == 2_500
    with pytest.raises(ServiceError):
        close_day(lay_day_id=day.pk, by=None, at=AT)
    LayDay.objects.filter(pk=day.pk).update(balanced_at=AT)
    close_day(lay_day_id=day.pk, by=None, at=AT)
    with pytest.raises(ServiceError, match="closed"):
        accept_base(lay_day_id=day.pk, by=None, at=AT, **GOOD)
    assert reopen_day(lay_day_id=day.pk, by=None, at=AT).closed_at is None
