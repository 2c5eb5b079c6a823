"""Bays and mixes: numbered, once, never refused for stock, undone, spilt."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.db.models import Sum

from jobs.costing.models import CostEntry
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError
from stock.catalogue.models import Item, Substitute
from stock.laying.models import Discrepancy, LayBay, Mix
from stock.laying.queries import lots_of_job, mixes_of_lot
from stock.laying.services import (
    add_bay,
    answer_discrepancy,
    bay_full,
    close_day,
    log_mix,
    mark_spilt,
    undo_mix,
)
from stock.ledger.models import Lot, Posting
from stock.ledger.queries import place
from stock.movements.queries import audit_stock
from tests.factories import (
    AT,
    DAY,
    make_area,
    make_blend,
    make_lot,
    make_requirement,
    make_stone,
    make_survey,
)
from tests.stock.laying.world import BAG, issue_all, make_site_with, open_day, tap

pytestmark = pytest.mark.django_db


def test_a_tap_moves_one_mix_from_the_site_into_the_surface() -> None:
    site = make_site_with(3)
    open_day(site)
    cost = CostEntry.objects.aggregate(all=Sum("amount"))["all"]
    mix = tap(site)
    assert mix.posting is not None
    moved = {move.lot: move.quantity for move in mix.posting.movements.all()}
    # One kit, four bags of 20 kg of stone, half a bag of 5 kg of sand.
    assert moved == {
        site.lots["kit"]: 1, site.lots["stone"]: 4 * BAG, site.lots["sand"]: 2_500,
    }  # fmt: skip
    assert {move.to_place for move in mix.posting.movements.all()} == {place("laid")}
    assert (site.left("kit"), site.left("stone")) == (2, 8 * BAG)
    # Laying posts no cost: each bag's cost reached the job when it was issued.
    assert CostEntry.objects.aggregate(all=Sum("amount"))["all"] == cost


def test_a_double_tap_logs_once() -> None:
    site = make_site_with(3)
    open_day(site)
    uid = uuid4()
    assert tap(site, uid=uid) == tap(site, uid=uid, started_at=AT + timedelta(seconds=1))
    assert (Mix.objects.count(), site.left("kit")) == (1, 2)


def test_one_tap_cannot_mean_two_bays() -> None:
    site = make_site_with(3)
    open_day(site, bays=2)
    uid = uuid4()
    tap(site, uid=uid)
    with pytest.raises(KeyUsedError, match="mix 1 in bay A"):
        tap(site, uid=uid, bay_id=site.bays[1].pk)


def test_before_the_base_is_accepted_no_mix_is_logged() -> None:
    site = make_site_with(1)
    day = open_day(site, accept=False)
    bay = LayBay.objects.create(lay_day=day, name="A", blend=site.blend)
    with pytest.raises(ServiceError, match="Accept the base before mix 1"):
        tap(site, bay_id=bay.pk)


def test_a_mix_is_never_refused_for_stock_and_the_storeman_is_asked() -> None:
    site = make_site_with(2, issue=False)
    open_day(site)
    mix = tap(site)
    assert (mix.number, mix.posting) == (1, None)
    asked = Discrepancy.objects.get()
    assert asked.mix == mix
    assert asked.what.startswith("Mix 1 is not booked: by the book the site lacks 1 kit of ")
    assert "4 bags of" in asked.what

    with pytest.raises(ServiceError, match="Issue it to the job first") as refusal:
        answer_discrepancy(
            discrepancy_id=asked.pk, answer="not issued", settle=True, by=None, at=AT
        )
    assert refusal.value.field == "settle"
    asked.refresh_from_db()
    assert asked.answered_at is None

    issue_all(site)
    answer_discrepancy(
        discrepancy_id=asked.pk, answer="The issue was forgotten.", settle=True, by=None, at=AT
    )
    mix.refresh_from_db()
    asked.refresh_from_db()
    assert mix.posting is not None
    assert (asked.answer, site.left("kit")) == ("The issue was forgotten.", 1)
    assert not Discrepancy.objects.open().exists()


def test_a_part_of_the_stock_is_not_taken_for_a_mix_that_lacks_the_rest() -> None:
    site = make_site_with(1)
    open_day(site)
    tap(site)
    assert site.left("sand") == 2_500
    assert tap(site).posting is None
    assert (site.left("sand"), site.left("stone")) == (2_500, 0)


def test_a_mix_logged_after_the_day_was_closed_stands_and_is_asked_about() -> None:
    site = make_site_with(2)
    day = open_day(site)
    tap(site)
    tap(site)
    close_day(lay_day_id=day.pk, by=None, at=AT)
    assert tap(site).number == 3
    said = set(Discrepancy.objects.values_list("what", flat=True))
    assert "Mix 3 was logged after the day was closed." in said


def test_undoing_the_last_mix_brings_its_material_back_and_frees_its_number() -> None:
    site = make_site_with(3)
    open_day(site)
    first, second = tap(site), tap(site)
    with pytest.raises(ServiceError) as refusal:
        undo_mix(mix_id=first.pk, by=None, at=AT)
    assert refusal.value.message == "Only the last mix can be undone; mix 1 is not the last."
    assert undo_mix(mix_id=second.pk, by=None, at=AT).state == "void"
    undo_mix(mix_id=second.pk, by=None, at=AT)
    assert (site.left("kit"), site.left("stone"), site.left("sand")) == (2, 8 * BAG, 7_500)
    assert tap(site).number == 2
    assert list(Mix.objects.standing().values_list("number", flat=True)) == [1, 2]
    assert audit_stock().ok


def test_undoing_a_mix_that_was_not_booked_answers_its_difference() -> None:
    site = make_site_with(1, issue=False)
    open_day(site)
    undo_mix(mix_id=tap(site).pk, by=None, at=AT)
    assert Discrepancy.objects.get().answer == "The mix was logged by mistake and is undone."


def test_a_spilt_mix_is_waste_and_not_surface() -> None:
    site = make_site_with(3)
    open_day(site)
    mix = mark_spilt(mix_id=tap(site).pk, by=None, at=AT)
    mark_spilt(mix_id=mix.pk, by=None, at=AT)
    assert (mix.state, site.left("kit")) == ("spilt", 2)
    assert mix.posting is not None
    assert {move.to_place for move in mix.posting.movements.all()} == {place("waste")}
    assert lots_of_job(site.job.pk) == []
    assert list(mixes_of_lot(site.lots["kit"])) == []
    undo_mix(mix_id=mix.pk, by=None, at=AT)
    assert site.left("kit") == 3
    assert audit_stock().ok


def test_a_phone_that_runs_ahead_gives_no_mix_more_time() -> None:
    site = make_site_with(1)
    open_day(site)
    assert tap(site, started_at=AT + timedelta(minutes=9)).started_at == AT


# -- bays --------------------------------------------------------------------------------------


def test_a_bay_is_named_once_and_measured() -> None:
    site = make_site_with(1)
    day = open_day(site)
    with pytest.raises(ServiceError, match="Bay a is there already") as refusal:
        add_bay(lay_day_id=day.pk, name=" a ", by=None, at=AT)
    assert refusal.value.field == "name"
    for wrong in (Decimal(0), Decimal(-1), Decimal("1000.01")):
        with pytest.raises(ServiceError) as refusal:
            bay_full(bay_id=site.bays[0].pk, area_m2=wrong, by=None, at=AT)
        assert refusal.value.field == "area_m2"
    bay = bay_full(bay_id=site.bays[0].pk, area_m2=Decimal("19.60"), by=None, at=AT)
    later = bay_full(bay_id=bay.pk, area_m2=Decimal("19.80"), by=None, at=AT + timedelta(minutes=5))
    assert (later.area_m2, later.full_at) == (Decimal("19.80"), AT)


def test_a_bay_is_not_called_bay_twice() -> None:
    site = make_site_with(1)
    day = open_day(site)
    assert add_bay(lay_day_id=day.pk, name=" Bay  C2", by=None, at=AT).name == "C2"
    with pytest.raises(ServiceError, match="Bay C2 is there already"):
        add_bay(lay_day_id=day.pk, name="bay c2".upper(), by=None, at=AT)
    assert add_bay(lay_day_id=day.pk, name="Bayside", by=None, at=AT).name == "Bayside"


def test_the_blend_of_a_bay_follows_from_the_colour_of_its_area() -> None:
    site = make_site_with(1)
    other = make_stone()
    blend = make_blend(kit=site.blend.kit, components=[(other, 5)])
    make_requirement(site.job, other, 5, colour_group="silver")
    survey = make_survey(site.job, finished_at=AT)
    make_area(survey, name="drive")
    day = open_day(site, bays=0)
    with pytest.raises(ServiceError, match="Say with which blend") as refusal:
        add_bay(lay_day_id=day.pk, name="A", by=None, at=AT)
    assert refusal.value.field == "blend"
    # The drive is buff, and only one card can be mixed of what was required for buff.
    assert add_bay(lay_day_id=day.pk, name="A", area_name="drive", by=None, at=AT).blend == (
        site.blend
    )
    assert add_bay(lay_day_id=day.pk, name="B", blend_id=blend.pk, by=None, at=AT).blend == blend


def test_a_mix_draws_the_lot_that_expires_first() -> None:
    site = make_site_with(2, issue=False)
    Lot.objects.filter(pk=site.lots["kit"].pk).update(expiry=DAY + timedelta(days=200))
    kits = make_lot(site.blend.kit, 1, expiry=DAY + timedelta(days=30))
    issue_all(site)
    open_day(site)
    mix = tap(site)
    assert mix.posting is not None
    assert kits in {move.lot for move in mix.posting.movements.all()}


def test_every_mix_keeps_its_uid_as_the_posting_key() -> None:
    site = make_site_with(1)
    day = open_day(site)
    uid = uuid4()
    log_mix(lay_day_id=day.pk, bay_id=site.bays[0].pk, uid=uid, started_at=AT, by=None, at=AT)
    assert Posting.objects.filter(key=uid, kind="lay", job=site.job).exists()


def test_a_mix_draws_the_stand_in_that_was_issued_once_the_item_itself_is_used() -> None:
    site = make_site_with(2, issue=False)
    stone = site.lots["stone"]
    pale = make_stone(run_matched=False)
    Item.objects.filter(pk=stone.item_id).update(run_matched=False)
    # Four of the eight bags are not to be had; four of another stone stand in.
    Lot.objects.filter(pk=stone.pk).update(status="held", held_reason="damp")
    make_lot(stone.item, 4)
    site.lots["pale"] = make_lot(pale, 4)
    Substitute.objects.create(item=stone.item, stand_in=pale)
    issue_all(site)
    # Its card allows it no longer; what was issued is known from then.
    Substitute.objects.all().delete()
    open_day(site)
    assert site.left("pale") == 4 * BAG
    first, second = tap(site), tap(site)
    assert first.posting is not None
    assert second.posting is not None
    assert not first.posting.movements.filter(lot__item=pale).exists()
    assert [move.quantity for move in second.posting.movements.filter(lot__item=pale)] == [4 * BAG]
    assert not Discrepancy.objects.exists()
    # The surface is traced to it, and undone it lies at the site again.
    laid = {row.lot.item_id: row.quantity for row in lots_of_job(site.job.pk)}
    assert laid[pale.pk] == 4 * BAG
    undo_mix(mix_id=second.pk, by=None, at=AT)
    assert site.left("pale") == 4 * BAG
