"""What conditions bring to the day's list, and to whom."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from jobs.kernel.clock import LONDON
from jobs.kernel.registries import TodayEntry
from jobs.today.queries import entries_for
from stock.conditions.panels import held_lots
from stock.conditions.services import answer_excursion
from stock.ledger.services import hold_lot
from tests.factories import AT, make_kit, make_lot, make_place, make_stone
from tests.stock.conditions.world import make_resin, read, too_hot

pytestmark = pytest.mark.django_db


def titles(user: Any, at: datetime = AT) -> list[str]:
    return [entry.title for entry in entries_for(user, at)]


def test_kits_in_vans_are_asked_for_at_half_past_four(storeman: Any, crew: Any) -> None:
    make_lot(make_stone(), 3, place=make_place("van"))
    assert titles(storeman) == []
    make_lot(make_kit(), 1, place=make_place("van", name="Van 7"))
    (entry,) = entries_for(storeman, AT)
    assert entry.title == "1 kit still in vans"
    assert entry.at == datetime(2026, 5, 14, 16, 30, tzinfo=LONDON)
    assert "Van 7" in entry.why
    assert titles(crew) == []


def held(user: Any) -> list[TodayEntry]:
    return [entry for entry in entries_for(user, AT) if entry.title.startswith("Held: ")]


def test_an_excursion_stops_the_day_until_it_is_answered(storeman: Any, crew: Any) -> None:
    _, _, excursion = too_hot()
    (entry,) = held(storeman)
    assert (entry.title, entry.level) == (f"Held: {excursion}", "stop")
    assert held(crew) == []
    answer_excursion(
        excursion_id=excursion.pk, outcome="kept", finding="no", by=storeman, at=AT
    )  # fmt: skip
    assert held(storeman) == []


def test_a_place_without_a_fresh_reading_is_named(storeman: Any) -> None:
    bay = make_place(name="Container 1")
    make_lot(make_resin(), place=bay)
    assert titles(storeman) == ["No fresh reading: Container 1"]
    read(bay, [(0, 20)], start=AT)
    assert titles(storeman) == []


def test_a_lot_that_an_excursion_holds_is_named_once(storeman: Any) -> None:
    _, hot_lot, excursion = too_hot()
    assert [title for title in titles(storeman) if hot_lot.code in title or "Held" in title] == [
        f"Held: {excursion}"
    ]
    torn = make_lot(make_stone())
    hold_lot(lot_id=torn.pk, reason="torn", by=None, at=AT)
    (one,) = held_lots(storeman, AT)
    assert (one.title, one.why, one.url) == (
        f"{torn.code} is held", f"{torn.code} (torn)", torn.get_absolute_url(),
    )  # fmt: skip
    # Answered, and kept held: now it is the lot that waits.
    answer_excursion(
        excursion_id=excursion.pk, outcome="kept", finding="no", by=storeman, at=AT
    )  # fmt: skip
    (both,) = held_lots(storeman, AT)
    assert both.title == "2 lots are held"
