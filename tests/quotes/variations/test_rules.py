"""Parts of agreed lines, sums below nought, and what of the material is at stake."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.kernel.money import round_vat
from quotes.variations.rules import (
    ChangedLine,
    Held,
    Priced,
    VariationSheet,
    count_in,
    part_of,
    reckon,
    stake,
)
from quotes.variations.rules.parts import stock_of

POUNDS = st.decimals("0.01", 9_000, places=2)


@dataclass
class Agreed:
    quantity: Decimal
    net: Decimal
    labour: Decimal = Decimal("30.00")
    plant: Decimal = Decimal("7.77")
    materials: Decimal = Decimal("100.01")
    other: Decimal = Decimal("0.00")
    labour_hours: Decimal = Decimal("3.33")
    stock: list[dict[str, Any]] = field(default_factory=list)


@given(POUNDS, st.lists(st.integers(1, 500), min_size=1, max_size=6))
@settings(max_examples=80, deadline=None)
def test_parts_left_out_one_after_the_other_add_up_to_the_line(
    net: Decimal, parts: list[int]
) -> None:
    whole = Decimal(sum(parts)) / 100
    line, taken = Agreed(whole, net), Decimal(0)
    found = []
    for size in parts:
        quantity = Decimal(size) / 100
        found.append(part_of(line, quantity, taken, less=True, packs={}))
        taken += quantity

    assert sum(part.net for part in found) == -net
    for name in ("labour", "plant", "materials", "other", "labour_hours"):
        assert sum(getattr(part, name) for part in found) == -getattr(line, name)


def test_stock_is_added_in_whole_packs_and_left_out_in_whole_packs() -> None:
    """By pencil: 10 m² took 100 kg in bags of 20; 3 m² are 30 kg: two bags more, one bag less."""
    row = {"item": 7, "quantity": 100, "cost": "50.00", "colour_group": "buff", "phase": "lay"}
    line = Agreed(Decimal(10), Decimal(500), stock=[row])

    more = part_of(line, Decimal(3), Decimal(0), less=False, packs={7: 20})
    less = part_of(line, Decimal(3), Decimal(0), less=True, packs={7: 20})

    assert (more.stock[0]["quantity"], more.stock[0]["cost"]) == (40, "20.00")
    assert (less.stock[0]["quantity"], less.stock[0]["cost"]) == (-20, "-10.00")
    assert (more.net, less.net) == (Decimal("150.00"), Decimal("-150.00"))
    assert stock_of([more, less]) == {(7, "buff", "lay"): 20}
    assert part_of(line, Decimal(1), Decimal(0), less=True, packs={7: 20}).stock == []


@given(st.lists(st.tuples(POUNDS, st.none() | POUNDS | POUNDS.map(lambda x: -x))), POUNDS, POUNDS)
@settings(max_examples=80, deadline=None)
def test_sums_add_up_and_the_vat_of_the_whole_job_is_that_on_its_net(
    lines: list[tuple[Decimal, Decimal | None]], charges: Decimal, before: Decimal
) -> None:
    found = reckon(
        [Priced(direct, net) for direct, net in lines], charges=charges, net_before=before,
        overhead_percent=Decimal(12), margin_percent=Decimal(25), rate_percent=Decimal(20),
    )  # fmt: skip

    assert found.net == sum(found.line_nets, Decimal(0)) + charges
    assert found.gross == found.net + found.vat
    assert round_vat(before, Decimal(20)) + found.vat == round_vat(before + found.net, Decimal(20))
    for (direct, net), line in zip(lines, found.line_nets, strict=True):
        assert line == net if net is not None else line >= direct


def test_a_line_is_priced_like_the_quote() -> None:
    # £60 direct, 12 % overhead: floor 67.20; at 25 % margin 67.20 / 0.75 = 89.60.
    found = reckon(
        [Priced(Decimal("60.00"))], charges=Decimal(0), net_before=Decimal(0),
        overhead_percent=Decimal(12), margin_percent=Decimal(25), rate_percent=Decimal(20),
    )  # fmt: skip

    assert (found.net, found.vat, found.gross) == (
        Decimal("89.60"), Decimal("17.92"), Decimal("107.52"),
    )  # fmt: skip


def held(**fields: Any) -> Held:
    values: dict[str, Any] = {
        "item_id": 1, "name": "stone", "omitted": 40, "required": 100, "reserved": 0, "issued": 0,
        "ordered": 0, "run_matched": True, "cost_each": Decimal("0.50"),
    }  # fmt: skip
    return Held(**values | fields)


def test_what_is_at_stake() -> None:
    """40 of 100 are left out, so 60 are still wanted; each case by pencil."""
    assert (stake(held()).kept, stake(held()).returnable) == (0, 0)
    assert stake(held(ordered=100)).kept == 40
    assert stake(held(ordered=100)).kept_value == Decimal("20.00")
    assert stake(held(ordered=70)).kept == 10
    assert stake(held(reserved=50, issued=30)).kept == 20
    assert stake(held(ordered=100, reserved=100)).kept == 40  # what came in is reserved: once
    assert stake(held(ordered=500)).kept == 40  # never more than is left out
    other = stake(held(run_matched=False, ordered=100, reserved=100))
    assert (other.kept, other.returnable, other.returnable_value) == (0, 40, Decimal("20.00"))
    shelf = stake(held(run_matched=False, reserved=100))
    assert (shelf.kept, shelf.returnable) == (0, 0)


def test_a_sheet_comes_back_from_json_as_it_was() -> None:
    line = ChangedLine("Less", Decimal("2.5"), "m", Decimal("-1.00"), Decimal("-1.20"), "less")
    charge = ChangedLine("Kept", None, "", Decimal("1.00"), Decimal("1.20"), "charge")
    sheet = VariationSheet(
        firm="Quillstone", firm_email="office@quillstone.example", reference="Q-2026-0007",
        label="V1", day=date(2026, 5, 14), valid_until=date(2026, 5, 28), customer="A",
        customer_address="1 Mill Lane", site="1 Mill Lane", job_reference="J-2026-0031",
        job_title="Drive", title="Smaller", order_number="", consumer=True, words="",
        lines=(line, charge), net=Decimal("0.00"), vat=Decimal("0.00"), gross=Decimal("0.00"),
        vat_percent=Decimal(20), vat_words="VAT at 20 %", before=Decimal("100.00"),
        after=Decimal("100.00"), days_added=-1, effect="Less.",
        order_by=datetime(2026, 5, 20, 11, 0, tzinfo=UTC),
    )  # fmt: skip

    assert VariationSheet.from_dict(sheet.as_dict()) == sheet


RATES = st.sampled_from([Decimal(20), Decimal(5), Decimal(0)])
CHANGES = st.lists(st.decimals("-300", 900, places=2), min_size=2, max_size=3)


@given(POUNDS, CHANGES, RATES, st.data())
@settings(max_examples=150, deadline=None)
def test_open_changes_come_to_the_vat_on_the_whole_in_any_order(
    start: Decimal, nets: list[Decimal], rate: Decimal, data: st.DataObject
) -> None:
    """VAT Notice 700, 17.5 (memory): VAT once on the total of its rate, here half up."""
    vat_start = round_vat(start, rate)
    shown = [
        count_in(net, net_before=start, vat_before=vat_start, rate_percent=rate) for net in nets
    ]

    net, vat = start, vat_start
    for place in data.draw(st.permutations(range(len(nets)))):
        found = count_in(nets[place], net_before=net, vat_before=vat, rate_percent=rate)
        assert found.before == net + vat
        assert abs(found.gross - shown[place].gross) <= Decimal("0.01")
        net, vat = net + found.net, vat + found.vat
        assert found.after == net + vat

    assert net == start + sum(nets)
    assert vat == round_vat(net, rate)
