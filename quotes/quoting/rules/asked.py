"""Lines reckoned from a few figures that are asked for: travel, hire, muck, day-work, small jobs.

What was asked stands in the draft's `asked` as JSON keeps it, so that it can be reckoned again at
another day's rates.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from typing import Any

from jobs.kernel.errors import ServiceError
from jobs.kernel.money import round_line
from quotes.pricebook.enums import Unit
from quotes.pricebook.rules import daywork_of, hire_of, muck_of, travel_of
from quotes.quoting.enums import LineKind
from quotes.quoting.rules.drafts import Draft, working

Asked = Mapping[str, Any]
THREE = Decimal("0.001")
MOST = Decimal(1_000_000)


def figure(asked: Asked, name: str, least: Decimal | int = 0) -> Decimal:
    """Return an asked figure; ServiceError at its field where it is none or out of bounds."""
    try:
        found = Decimal(str(asked.get(name) or 0))
    except InvalidOperation:
        found = Decimal(-1)
    if not found.is_finite() or not least <= found <= MOST:
        raise ServiceError(f"Give a figure of at least {least}.", field=name)
    return found


def travel_draft(asked: Asked, *, mile_rate: Decimal, hourly: Decimal) -> Draft:
    """Return the line of the way there and back: miles and hours, or a fixed sum for all of it."""
    trips = int(figure(asked, "trips", 1))
    if asked.get("sum"):
        cost = round_line(figure(asked, "sum"))
        row = working("travel", "a fixed sum", cost)
        return _draft(LineKind.TRAVEL, asked, "Travel", Decimal(trips), other=cost, workings=[row])
    miles, hours = figure(asked, "miles"), figure(asked, "hours")
    people = int(figure(asked, "people", 1))
    found = travel_of(
        miles=miles, trips=trips, hours=hours, people=people, mile_rate=mile_rate, hourly=hourly
    )
    rows = [
        working("travel: miles", f"{miles} miles × {trips} trips × £{mile_rate}", found.mileage),
        working(
            "travel: hours", f"{hours} h × {trips} trips × {people} people × £{hourly}",
            found.labour,
        ),
    ]  # fmt: skip
    return _draft(
        LineKind.TRAVEL, asked, "Travel", Decimal(trips), labour_hours=round_line(found.hours),
        labour=found.labour, other=found.mileage, workings=rows,
    )  # fmt: skip


def hire_draft(asked: Asked, name: str, rate: Any) -> Draft:
    """Return the line of a machine's hire; at least its minimum period is charged."""
    days = figure(asked, "days", Decimal("0.5"))
    found = hire_of(
        days=days, day_rate=rate.day_rate, week_rate=rate.week_rate,
        minimum_days=rate.minimum_days, days_a_week=rate.week_days,
    )  # fmt: skip
    parts = []
    if found.weeks:
        parts.append(f"{found.weeks} × a week at £{rate.week_rate}")
    if found.days:
        parts.append(f"{found.days} × a day at £{rate.day_rate}")
    why = f"{days.normalize():f} days wanted, at least {rate.minimum_days}: "
    rows = [working(f"{name}: hire", why + " and ".join(parts), found.cost)]
    delivery = round_line(rate.delivery)
    if delivery:
        rows.append(working(f"{name}: brought and fetched", "each hire", delivery))
    return _draft(
        LineKind.HIRE, asked, f"Hire of {name}", Decimal(found.charged_days), Unit.DAY,
        plant=found.cost + delivery, workings=rows,
    )  # fmt: skip


def muck_draft(asked: Asked, name: str, rate: Any, area_m2: Decimal) -> Draft:
    """Return the line of ground carted away: area × depth, bulked, weighed, in whole loads."""
    depth = figure(asked, "depth_mm", 1)
    load = figure(asked, "load_t") or rate.load_t
    if area_m2 <= 0:
        raise ServiceError("Give the area; the survey does not say.", field="area_m2")
    found = muck_of(
        area_m2=area_m2, depth_mm=depth, bulking=rate.bulking, density=rate.density, load_t=load
    )
    haul, tip = round_line(found.loads * rate.haul), round_line(found.tonnes * rate.tip)
    mass = found.tonnes.quantize(THREE)
    volumes = (
        f"{area_m2} m² × {depth.normalize():f} mm = {found.solid_m3.quantize(THREE)} m³ solid, "
        f"× {rate.bulking} = {found.loose_m3.quantize(THREE)} m³ loose, × {rate.density} t/m³ = "
        f"{mass} t: {found.loads} loads of {load} t"
    )
    rows = [
        working(f"{name}: away", f"{volumes}, × £{rate.haul}", haul),
        working(f"{name}: tipping", f"{mass} t × £{rate.tip}", tip),
    ]
    return _draft(
        LineKind.MUCK, asked, f"Cart away {name}, {found.solid_m3.quantize(THREE)} m³ dug", mass,
        Unit.TONNE, plant=haul, other=tip, workings=rows, measured=not asked.get("area_m2"),
    )  # fmt: skip


def solid_of(asked: Asked, area_m2: Decimal) -> Decimal:
    """Return the m³, as they lie, of a muck line; `area_m2` where no area was typed."""
    area = figure(asked, "area_m2") or area_m2
    return (area * figure(asked, "depth_mm", 1) / 1000).quantize(THREE)


def daywork_draft(
    asked: Asked, *, hourly: Decimal, percents: tuple[Decimal, Decimal, Decimal] | None
) -> Draft:
    """Return the line of day-work: a provisional quantity at prime cost and the percentages."""
    hours = figure(asked, "hours")
    plant, material = round_line(figure(asked, "plant")), round_line(figure(asked, "material"))
    found = daywork_of(
        hours=hours, hourly=hourly, plant=plant, material=material, percents=percents
    )
    if not found.prime:
        raise ServiceError("Give hours, plant or material.", field="hours")
    added = [f", + {each.normalize():f} %" for each in percents] if percents else [""] * 3
    rows = [
        working("day-work: labour", f"{hours} h × £{hourly}{added[0]}", found.labour),
        working("day-work: plant", f"as given{added[1]}", plant),
        working("day-work: material", f"as given{added[2]}", material),
    ]
    return _draft(
        LineKind.DAYWORK, asked, "Day-work", hours or Decimal(1), Unit.HOUR if hours else Unit.EACH,
        labour_hours=round_line(hours), labour=found.labour, plant=plant, materials=material,
        workings=rows, price=found.charge,
    )  # fmt: skip


def small_draft(asked: Asked, name: str, unit: str, rate: Any, hourly: Decimal) -> Draft:
    """Return the line of a small job at its own price."""
    amount = figure(asked, "quantity", THREE)
    labour = round_line(rate.labour_hours * hourly * amount)
    plant, material = round_line(rate.plant * amount), round_line(rate.material * amount)
    rows = [
        working(f"{name}: labour", f"{amount} × {rate.labour_hours} h × £{hourly}", labour),
        working(f"{name}: plant", f"{amount} × £{rate.plant}", plant),
        working(f"{name}: material", f"{amount} × £{rate.material}", material),
    ]
    return _draft(
        LineKind.SMALL, asked, name, amount, unit,
        labour_hours=round_line(rate.labour_hours * amount), labour=labour, plant=plant,
        materials=material, workings=rows, price=round_line(rate.price * amount),
    )  # fmt: skip


def _draft(
    kind: LineKind,
    asked: Asked,
    words: str,
    quantity: Decimal,
    unit: str = Unit.EACH,
    **figures: Any,
) -> Draft:
    measured = figures.pop("measured", False)
    return Draft(
        kind=kind, words=words[:200], quantity=quantity, unit=unit, measured=measured,
        asked=dict(asked), **figures,
    )  # fmt: skip
