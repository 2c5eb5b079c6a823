"""What lay beyond its hours is held once, with its reason, and released by an answer."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from jobs.audit.models import Event
from jobs.kernel.errors import ServiceError
from stock.conditions.models import Excursion, ExcursionLot, Reading, Watch
from stock.conditions.services import (
    answer_excursion,
    check_place,
    leave_out_reading,
    sweep_excursions,
)
from stock.ledger.services import hold_lot, release_lot
from tests.factories import AT, make_kit, make_lot, make_place
from tests.stock.conditions.world import START, hot, make_resin, move, read, too_hot

pytestmark = pytest.mark.django_db


def answer(excursion: Excursion, outcome: str = "released") -> list[str]:
    return answer_excursion(
        excursion_id=excursion.pk, outcome=outcome, finding="The maker says it stands that.",
        by=None, at=AT,
    )[1]  # fmt: skip


# -- finding and holding ---------------------------------------------------------------------


def test_a_lot_beyond_its_hours_is_held_with_the_figures() -> None:
    bay, lot, excursion = too_hot()
    assert lot.status == "held"
    # 20 to 31 passes 25 after 5/11 h, so 6/11 h on each side of four whole hours.
    hours = 4 + 2 * 6 / 11
    assert float(excursion.hours) == pytest.approx(hours, abs=0.01)
    assert float(excursion.extreme_c) == 31
    start = excursion.started_at - START
    assert start.total_seconds() / 3600 == pytest.approx(5 / 11, abs=1e-3)
    assert lot.held_reason.startswith(f"5.1 h above 25.0 °C in {bay} from 08 May 2026 (2 h allow")
    row = excursion.lots.get()
    assert (row.lot_id, row.quantity, row.held_reason) == (lot.pk, 10, lot.held_reason)
    assert Event.objects.filter(verb="conditions.excursion").count() == 1


def test_hours_that_are_allowed_hold_nothing() -> None:
    bay = make_place()
    lot = make_lot(make_resin(store_hours_allowed=6), 10, place=bay)
    read(bay, hot(5))
    assert check_place(place_id=bay.pk, at=AT) == 0
    lot.refresh_from_db()
    assert lot.status == "released"


def test_cold_too() -> None:
    bay = make_place()
    make_lot(make_resin(), 10, place=bay)
    read(bay, hot(5, value=-3.0))
    check_place(place_id=bay.pk, at=AT)
    found = Excursion.objects.get()
    assert (found.side, float(found.limit_c), float(found.extreme_c)) == ("low", 5, -3)


def test_one_bad_reading_holds_nothing_even_where_no_hour_is_allowed() -> None:
    bay = make_place()
    make_lot(make_resin(store_hours_allowed=0), 10, place=bay)
    read(bay, [(n / 4, 60 if n == 4 else 20) for n in range(9)])
    assert sweep_excursions(at=AT) == 0
    # The same leap at the end waits for the next reading; confirmed, it counts.
    read(bay, [(2.25, 60)])
    assert sweep_excursions(at=AT) == 0
    read(bay, [(2.5, 61)])
    assert sweep_excursions(at=AT) == 1


def test_what_came_later_or_had_left_before_is_not_held() -> None:
    bay, other = make_place(), make_place()
    item = make_resin()
    left, came, stayed = (make_lot(item, 10, place=place) for place in (bay, other, bay))
    move(left, bay, other, 10, START)
    move(came, other, bay, 10, START + timedelta(hours=4))  # about an hour and a half of it
    read(bay, hot(5))
    check_place(place_id=bay.pk, at=AT)
    assert [row.lot for row in Excursion.objects.get().lots.all()] == [stayed]


def test_what_lay_there_then_is_held_wherever_it_is_now() -> None:
    bay, van = make_place(), make_place("van")
    lot = make_lot(make_resin(), 10, place=bay)
    move(lot, bay, van, 4, START + timedelta(hours=30))
    read(bay, hot(5))
    check_place(place_id=bay.pk, at=AT)
    lot.refresh_from_db()
    assert (lot.status, Excursion.objects.get().lots.get().quantity) == ("held", 10)


def test_an_item_without_limits_is_not_asked() -> None:
    bay = make_place()
    make_lot(make_kit(), 10, place=bay)
    read(bay, hot(50))
    assert check_place(place_id=bay.pk, at=AT) == 0


def test_a_sweep_repeated_changes_nothing() -> None:
    _bay, _, _ = too_hot()
    Watch.objects.update(dirty_from=START)  # as if the mark had not been taken off
    events = Event.objects.count()
    assert sweep_excursions(at=AT) == 0
    assert sweep_excursions(at=AT) == 0
    assert (Excursion.objects.count(), ExcursionLot.objects.count()) == (1, 1)
    assert Event.objects.count() == events


def test_more_heat_makes_the_same_excursion_longer() -> None:
    bay, _lot, excursion = too_hot()
    read(bay, hot(6, first=20))
    assert sweep_excursions(at=AT) == 1
    was = excursion.hours
    excursion.refresh_from_db()
    assert excursion.hours > was
    assert Excursion.objects.count() == 1


def test_readings_that_come_late_move_its_beginning() -> None:
    bay, _, excursion = too_hot()
    read(bay, [(hour, 30) for hour in range(-5, 0)])
    sweep_excursions(at=AT)
    excursion.refresh_from_db()
    assert excursion.started_at == START - timedelta(hours=5)
    assert Excursion.objects.count() == 1


def test_a_lot_held_already_keeps_its_reason() -> None:
    bay = make_place()
    lot = make_lot(make_resin(), 10, place=bay)
    hold_lot(lot_id=lot.pk, reason="torn wrap", by=None, at=AT)
    read(bay, hot(5))
    check_place(place_id=bay.pk, at=AT)
    lot.refresh_from_db()
    row = ExcursionLot.objects.get()
    assert (lot.held_reason, row.held_reason, row.note) == (
        "torn wrap", "", "Held already: torn wrap",
    )  # fmt: skip


def test_a_lot_that_somebody_released_is_not_held_again_for_the_same_time() -> None:
    _bay, lot, _ = too_hot()
    release_lot(lot_id=lot.pk, reason="looked at", by=None, at=AT)
    Watch.objects.update(dirty_from=START)
    sweep_excursions(at=AT)
    lot.refresh_from_db()
    assert lot.status == "released"


def test_a_reading_left_out_no_longer_counts() -> None:
    bay = make_place()
    make_lot(make_resin(store_hours_allowed=3), 10, place=bay)
    read(bay, [(0, 20), (3, 40), (6, 20)])  # 4.5 h above 25 by the straight lines
    reading = Reading.objects.get(celsius=40)
    leave_out_reading(reading_id=reading.pk, reason="probe in the sun", by=None, at=AT)
    assert sweep_excursions(at=AT) == 0


def test_a_reading_left_out_later_has_its_place_checked_again() -> None:
    bay, _, excursion = too_hot()
    reading = Reading.objects.get(place=bay, at=START + timedelta(hours=5))
    leave_out_reading(reading_id=reading.pk, reason="probe in the sun", by=None, at=AT)
    assert Watch.objects.get(place=bay).dirty_from == reading.at
    assert sweep_excursions(at=AT) == 1
    was = excursion.hours
    excursion.refresh_from_db()
    # What was held stays held until somebody answers; the hours are told as they now are.
    assert 2 < excursion.hours != was


# -- answering -------------------------------------------------------------------------------


def test_an_answer_releases_what_the_excursion_held() -> None:
    _, lot, excursion = too_hot()
    assert answer(excursion) == []
    lot.refresh_from_db()
    excursion.refresh_from_db()
    assert (lot.status, excursion.outcome, excursion.answered_at) == ("released", "released", AT)
    with pytest.raises(ServiceError, match="answered already"):
        answer(excursion)


def test_an_answer_may_keep_it_held() -> None:
    _, lot, excursion = too_hot()
    answer(excursion, "kept")
    lot.refresh_from_db()
    assert lot.status == "held"


def test_an_answer_needs_words() -> None:
    _, _, excursion = too_hot()
    with pytest.raises(ServiceError, match="Say what was found") as refusal:
        answer_excursion(
            excursion_id=excursion.pk, outcome="released", finding="  ", by=None, at=AT
        )
    assert refusal.value.field == "finding"


def test_hours_after_the_answer_count_anew() -> None:
    bay, lot, excursion = too_hot()
    answer(excursion)
    hours_to_answer = (AT - START).total_seconds() / 3600
    read(bay, hot(1, first=int(hours_to_answer) + 1))
    assert sweep_excursions(at=AT) == 0
    read(bay, hot(5, first=int(hours_to_answer) + 6))
    assert sweep_excursions(at=AT) == 1
    lot.refresh_from_db()
    assert lot.status == "held"
    assert Excursion.objects.open().get().started_at > AT


def test_a_lot_of_two_excursions_is_released_by_the_second_answer() -> None:
    bay, lot, hot_one = too_hot()
    read(bay, hot(5, first=50, value=-3.0))
    sweep_excursions(at=AT)
    cold_one = Excursion.objects.open().exclude(pk=hot_one.pk).get()
    assert answer(hot_one) == [f"{lot.code} stays held: another excursion of it is open."]
    assert answer(cold_one) == []
    lot.refresh_from_db()
    assert lot.status == "released"


def test_what_is_held_for_another_reason_stays_held() -> None:
    _, lot, excursion = too_hot()
    release_lot(lot_id=lot.pk, reason="by mistake", by=None, at=AT)
    hold_lot(lot_id=lot.pk, reason="torn wrap", by=None, at=AT)
    assert answer(excursion) == [f"{lot.code} stays held: torn wrap."]


def test_what_is_past_its_date_stays_held() -> None:
    _, lot, excursion = too_hot(expiry=date(2026, 5, 13))
    (sentence,) = answer(excursion)
    assert "cannot be released" in sentence
    lot.refresh_from_db()
    assert lot.status == "held"
