import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine.errors import EngineError
from quotes.engine.parse import parse_request
from quotes.engine.takeoff import TakeOff, edging_pieces, take_off

from . import samples


def found(document: dict[str, Any]) -> TakeOff:
    return take_off(parse_request(document))


def test_the_designs_example_by_hand() -> None:
    off = found(samples.document())
    area = 6.2 * 3.4 - math.pi * 0.6**2 / 4
    exact = area * 0.020 * (112 / (3.15 * 0.020)) * 1.05 / 112
    assert off.area_m2 == pytest.approx(area)
    assert off.mixes_exact == pytest.approx(exact)
    assert (off.mixes, off.kits) == (7, 7)
    assert off.resin_kg == pytest.approx(7 * 7.0)
    assert off.aggregate_kg == pytest.approx(7 * 105.0)
    assert off.mass_kg == pytest.approx(7 * 112.0)
    assert off.mass.to("t").magnitude == pytest.approx(0.784)
    assert [(c.name, c.bags, c.kg, c.leftover_kg) for c in off.components] == [
        ("stone 2-6 mm", 28, 560.0, 0.0),
        ("stone 1-2 mm", 7, 140.0, 0.0),
        ("fine sand", 7, 35.0, 0.0),
    ]


def test_texture_is_swallowed_and_waste_lost() -> None:
    off = found(
        samples.document(areas=[samples.square(31.5, base_texture="2 mm")], waste_percent=10)
    )
    assert off.areas[0].yield_m2_per_mix == pytest.approx(3.15 * 20 / 22)
    assert off.mixes_exact == pytest.approx(10 * 22 / 20 * 1.1)


def test_mixes_are_shared_inside_a_session_only() -> None:
    half = {"waste_percent": 0}
    one = samples.square(3.15 * 1.5, name="one")
    two = samples.square(3.15 * 1.5, name="two")
    assert found(samples.document(areas=[one, two], **half)).mixes == 3
    two["session"] = "Tuesday"
    off = found(samples.document(areas=[one, two], **half))
    assert off.mixes == 4
    assert [(s.name, s.mixes) for s in off.sessions] == [(None, 2), ("Tuesday", 2)]


def test_a_part_mix_takes_a_whole_kit_and_leaves_opened_resin() -> None:
    off = found(
        samples.document(areas=[samples.square(3.15 * 2.25)], waste_percent=0, part_mixes=True)
    )
    assert off.mixes == pytest.approx(2.25)
    assert off.kits == 3
    assert off.resin_kg == pytest.approx(2.25 * 7)
    assert off.opened_resin_kg == pytest.approx(0.75 * 7)
    assert off.components[0].bags == 9
    assert off.components[1].bags == 3
    assert off.components[1].leftover_kg == pytest.approx(15.0)


def test_a_part_of_a_bag_is_rounded_up_once_over_the_whole_take_off() -> None:
    card = samples.blend()
    card["components"][2]["bags"] = 0.25
    areas = [
        samples.square(3.15 * 0.9, name="a", session="1"),
        samples.square(3.15 * 0.9, name="b", session="2"),
    ]
    off = found(samples.document(blend=card, areas=areas, waste_percent=0))
    assert off.mixes == 2
    assert off.components[2].bags == 1
    assert off.components[2].kg == pytest.approx(2.5)
    assert off.components[2].leftover_kg == pytest.approx(2.5)


def test_blends_keep_apart_and_share_bags_of_one_name_and_size() -> None:
    other = samples.blend()
    other["components"][0] = {"name": "red stone", "bag": "25 kg", "bags": 3.2}
    document = samples.document(
        areas=[samples.square(6.3, name="a", blend="buff"), samples.square(3, blend="red")],
        waste_percent=0,
    )
    del document["blend"]
    document["blends"] = {"buff": samples.blend(), "red": other}
    off = found(document)
    assert [(s.blend, s.mixes) for s in off.sessions] == [("buff", 2), ("red", 1)]
    assert [(c.name, c.bag_kg, c.bags) for c in off.components] == [
        ("stone 2-6 mm", 20, 8),
        ("stone 1-2 mm", 20, 3),
        ("fine sand", 5, 3),
        ("red stone", 25, 4),
    ]


@pytest.mark.parametrize("parts", [3, 7, 10, 30])
def test_a_whole_number_that_floats_miss_by_a_hair_is_still_whole(parts: int) -> None:
    areas = [samples.square(3.15 * 7 / parts, name=f"bay {k}") for k in range(parts)]
    assert found(samples.document(areas=areas, waste_percent=0)).mixes == 7


def test_a_slip_of_a_unit_is_refused() -> None:
    card = samples.blend(compacted_density="1778 kg/m^3")
    del card["yield"]
    for part in card["components"]:
        part["bag"] = "1 g"
    card["kit"] = samples.kit(part_a="4.8 g", part_b="2.2 g")
    huge = {"kind": "rectangle", "length": "1 km", "width": "1 km"}
    with pytest.raises(EngineError) as refused:
        found(samples.document(blend=card, areas=[samples.area(shapes=[huge])]))
    assert refused.value.code == "out_of_range"


@given(samples.documents())
def test_parts_sum_to_the_whole(document: dict[str, Any]) -> None:
    off = found(document)
    assert math.fsum(a.mixes_exact for a in off.areas) == pytest.approx(off.mixes_exact)
    assert math.fsum(s.mixes for s in off.sessions) == off.mixes
    assert math.fsum(s.area_m2 for s in off.sessions) == pytest.approx(off.area_m2)
    assert math.fsum(c.kg for c in off.components) == pytest.approx(off.aggregate_kg)
    assert off.mass_kg == pytest.approx(off.mixes * 112)
    for each in off.components:
        assert each.bags * each.bag_kg == pytest.approx(each.kg + each.leftover_kg)
        assert 0 <= each.leftover_kg < each.bag_kg
    for session in off.sessions:
        assert session.mixes >= session.mixes_exact - 1e-9
        assert session.mixes < session.mixes_exact + 1


@given(samples.documents(), st.randoms(use_true_random=False))
def test_the_order_of_areas_does_not_matter(document: dict[str, Any], rng: Any) -> None:
    off = found(document)
    rng.shuffle(document["areas"])
    again = found(document)
    assert (again.mixes, again.mixes_exact, again.area_m2) == (
        off.mixes,
        off.mixes_exact,
        off.area_m2,
    )
    assert again.components == off.components
    assert {(s.name, s.mixes) for s in again.sessions} == {(s.name, s.mixes) for s in off.sessions}


@given(samples.documents(), samples.shapes())
def test_more_area_is_never_fewer_mixes(document: dict[str, Any], more: dict[str, Any]) -> None:
    before = found(document)
    document["areas"][0]["shapes"].append(more)
    after = found(document)
    assert after.mixes >= before.mixes
    assert after.mixes_exact > before.mixes_exact


@given(samples.documents(), st.floats(0, 20), st.floats(0, 20))
def test_more_waste_or_depth_is_never_fewer_mixes(
    document: dict[str, Any], one: float, other: float
) -> None:
    low, high = sorted((one, other))
    few = found({**document, "waste_percent": low})
    many = found({**document, "waste_percent": high})
    assert many.mixes >= few.mixes
    assert many.mixes_exact == pytest.approx(few.mixes_exact * (1 + high / 100) / (1 + low / 100))


@given(samples.documents())
def test_exact_mixes_scale_with_depth(document: dict[str, Any]) -> None:
    for each in document["areas"]:
        each["base_texture"] = "0 mm"
    single = found(document)
    for each in document["areas"]:
        each["depth"] = f"{2 * int(each['depth'][:-3])} mm"
    assert found(document).mixes_exact == pytest.approx(2 * single.mixes_exact)


@pytest.mark.parametrize(
    ("edge", "piece", "waste", "pieces"),
    [(19.2, 2.4, 0, 8), (19.2, 2.4, 5, 9), (0.0, 2.4, 5, 0), (0.3, 0.1, 0, 3)],
)
def test_edging_comes_in_whole_pieces(edge: float, piece: float, waste: float, pieces: int) -> None:
    assert edging_pieces(edge, piece, waste) == pieces


def test_edging_of_no_length_is_refused() -> None:
    with pytest.raises(EngineError):
        edging_pieces(5.0, 0.0)
