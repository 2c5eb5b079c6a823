"""Loads, pace and kits from a take-off, by hand."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

import pytest

from quotes.engine.errors import ModelError
from quotes.engine.pace import Crew
from quotes.takeoff.rules import Card, Pack, Purchase, Settings, TakeOff, reckon
from quotes.takeoff.rules.site import (
    KitStay,
    Vehicle,
    WorkingDay,
    kits_of,
    loads_of,
    pace_of,
    tin_constant,
)
from tests.quotes.engine import samples

KIT = Pack(1, "kit", "kit", "kit", 1, 7000, "piece", False, 40)
STONE = Pack(2, "stone", "stone", "bag", 20_000, 20_000, "g", True)
CREW = Crew(2, 120, 120, 2, 90, 2, 2, 900)


def found(**settings: Any) -> TakeOff:
    blend = samples.blend()
    card = Card(1, "buff", KIT, tuple((STONE, Decimal(1)) for _ in blend["components"]), blend)
    area = samples.area(
        shapes=[{"kind": "rectangle", "length": "6.2 m", "width": "3.4 m"}], session="one"
    )
    return reckon([area | {"colour_group": "buff"}], {"buff": card}, Settings(**settings), {})


def test_trips_and_pallets_by_hand() -> None:
    bought = [Purchase(KIT, "", 8), Purchase(STONE, "buff", 40, 2)]

    loads = loads_of(bought, [Vehicle("tipper", 500), Vehicle("van", None), Vehicle("moped", 10)])

    # 8 kits of 7 kg and 42 bags of 20 kg: 896 kg; 40 kits a pallet: one pallet
    assert loads.kg == pytest.approx(896)
    assert loads.pallets == 1
    assert loads.loose == ("stone buff",)
    tipper, van, moped = loads.rows
    assert tipper.trips is not None
    assert tipper.trips.count == 2
    assert max(tipper.trips.masses) <= 500
    assert "not known" in van.problem
    assert "10 kg over the usable payload" in moped.problem


def test_a_pack_without_mass_is_named_and_not_carried() -> None:
    odd = Pack(3, "edging", "edging", "length", 2500, 0, "mm", False)

    loads = loads_of([Purchase(KIT, "", 1), Purchase(odd, "", 4)], [])

    assert loads.unweighed == ("edging",)
    assert loads.kg == pytest.approx(7)


def test_pace_and_live_edge_by_hand() -> None:
    pace = pace_of(found(), WorkingDay(CREW, 6, 4, 1.5, turning=120))

    # two hands of 900 s a mix: one each 450 s, 8 an hour
    assert pace.pace.mixes_an_hour == pytest.approx(8)
    # a mix covers 21.08 m² over 7.0267 mixes = 3 m²: 24 m² an hour; a lane of 6 m² takes 15 min
    assert pace.area_per_mix == pytest.approx(3.0)
    assert pace.edge is not None
    assert pace.edge.age == pytest.approx(15 * 60 + 120)
    assert pace.lanes == 4  # 21.08 m² in lanes of 6 m²


def test_pace_without_a_working_time_has_no_edge() -> None:
    pace = pace_of(found(air_c=Decimal(45)), WorkingDay(CREW, 6, 4, 1.5))

    assert pace.edge is None
    assert "no working time" in pace.edge_problem


def test_too_many_lanes_are_refused() -> None:
    with pytest.raises(ModelError, match="longer or wider"):
        pace_of(found(), WorkingDay(CREW, 6, 0.2, 0.2))


def test_a_tin_is_as_high_as_wide() -> None:
    # 11 kg of 1,100 kg/m³: 10 litres, so 0.2335 m across and high; surface 1.5 pi d² = 0.257 m²
    across = (4 * 0.010 / math.pi) ** (1 / 3)
    surface = 1.5 * math.pi * across**2

    assert tin_constant(11) == pytest.approx(11 * 1900 / (8 * surface), rel=1e-9)


def test_a_kit_follows_its_store_and_warms_its_mix_a_little() -> None:
    stay = KitStay(8, 20, 3600.0, 18, 12, 12, 40, 12, 240)

    (kit,) = kits_of(found(), stay)

    after = 20 - 12 * math.exp(-3600 / kit.constant)
    assert kit.after == pytest.approx(after)
    assert kit.wait == pytest.approx(kit.constant * math.log(12 / 2))
    # heat: 105 kg x 840 and 40 kg x 480 at 12 °C, 7 kg x 1900 at the kit's temperature
    weights = (105 * 840, 40 * 480, 7 * 1900)
    mean = (12 * (weights[0] + weights[1]) + after * weights[2]) / sum(weights)
    assert kit.mix.degc == pytest.approx(mean)
    assert kit.pot_life is not None


def test_a_kit_never_warmer_than_its_store() -> None:
    (kit,) = kits_of(found(), KitStay(8, 10, 3600.0, 18, 12, 12, 40, 12, 240))

    assert kit.wait is None
    assert "never reaches" in kit.never


def test_the_shortest_working_time_of_two_blends_counts() -> None:
    blend = samples.blend()
    quick = samples.blend(kit=samples.kit(working_time_20c="10 min"))
    cards = {
        name: Card(1, name, KIT, tuple((STONE, Decimal(1)) for _ in blend["components"]), document)
        for name, document in (("buff", blend), ("slate", quick))
    }
    areas = [
        samples.area(name=name, session=name) | {"colour_group": name} for name in ("buff", "slate")
    ]
    edge = pace_of(
        reckon(areas, cards, Settings(air_c=Decimal(20)), {}), WorkingDay(CREW, 6, 4, 1.5)
    ).edge

    assert edge is not None
    assert "working time 10 min" in edge.workings[0].result
    assert not edge.holds
