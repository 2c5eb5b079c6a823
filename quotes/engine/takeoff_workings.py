"""The workings of a take-off, in the order in which a person would go through it."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

from quotes.engine.request import Request
from quotes.engine.risk import upper_tail
from quotes.engine.takeoff import AreaTakeOff, SessionTakeOff, TakeOff
from quotes.engine.timing import Timing
from quotes.engine.workings import COMMON_PRACTICE, Working, figure

_OWN = "this take-off"


def workings_of(
    found: TakeOff, timings: Mapping[str | None, Timing], chance: float, spares: int
) -> list[Working]:
    """Every step from the tape to the order, the times and the risk."""
    steps: list[Working] = []
    for name, blend in found.request.blends.items():
        steps += (_named(name, step) for step in blend.workings)
    for area in found.areas:
        steps += (_named(area.request.name, step) for step in area.request.measure.workings)
        steps.append(_mixes(area, found.request))
    steps += (_session(each, part_mixes=found.request.part_mixes) for each in found.sessions)
    steps += _totals(found)
    for name, timing in timings.items():
        steps += (_named(name, step) for step in timing.workings)
    steps += (_spread(found, number) for number in range(len(found.sessions)))
    steps.append(_risk(found.request, chance, spares))
    return steps


def _named(name: str | None, step: Working) -> Working:
    return step if name is None else replace(step, step=f"{name}: {step.step}")


def _mixes(area: AreaTakeOff, request: Request) -> Working:
    asked = area.request
    blend = request.blends[asked.blend]
    return Working(
        f"{asked.name}: mixes, before rounding",
        "area × (depth + texture) × density × (1 + waste/100) / mass of a mix",
        (
            ("area", figure(asked.measure.area_m2, "m²", 4)),
            ("depth", figure(1000 * asked.depth_m, "mm", 2)),
            ("texture", figure(1000 * asked.texture_m, "mm", 2)),
            ("density", figure(blend.compacted_density, "kg/m³", 1)),
            ("waste", figure(request.waste_percent, "%", 2)),
            ("mass of a mix", figure(blend.mix_kg, "kg")),
            ("yield of a mix, with texture, without waste", figure(area.yield_m2_per_mix, "m²", 4)),
        ),
        f"{figure(area.mixes_exact, '', 4)} mixes, {figure(area.mass_exact_kg, 'kg', 1)}",
        _OWN,
    )


def _name_of(session: SessionTakeOff) -> str:
    name = f"session {session.name}" if session.name else "the unnamed session"
    return f"{name} of {session.blend}" if session.blend else name


def _session(session: SessionTakeOff, *, part_mixes: bool) -> Working:
    return Working(
        f"mixes of {_name_of(session)}",
        (
            "the sum of its areas as it is, the last mix a part mix; kits whole"
            if part_mixes
            else "the sum of its areas, rounded up to whole mixes"
        ),
        tuple((a.request.name, figure(a.mixes_exact, "", 4)) for a in session.areas),
        f"{figure(session.mixes, '', 4)} mixes, {session.kits} kits",
        _OWN,
    )


def _totals(found: TakeOff) -> Iterator[Working]:
    yield Working(
        "what is mixed",
        "mixes × resin of a kit; mixes × aggregate of a mix",
        (("mixes", figure(found.mixes, "", 4)), ("kits", str(found.kits))),
        f"resin {figure(found.resin_kg, 'kg')}, aggregate {figure(found.aggregate_kg, 'kg')}, "
        f"together {figure(found.mass_kg, 'kg')}",
        _OWN,
    )
    yield Working(
        "bags bought and left over",
        "mixes × bags of a mix, rounded up once over the whole take-off; left over: bought less "
        "mixed",
        tuple(
            (each.name, f"{each.bags} × {figure(each.bag_kg, 'kg')} for {figure(each.kg, 'kg')}")
            for each in found.components
        ),
        "; ".join(f"{each.name} {figure(each.leftover_kg, 'kg')}" for each in found.components),
        _OWN,
    )


def _spread(found: TakeOff, number: int) -> Working:
    """The chance of one session as a pencil gets it, to the first order."""
    session, demand = found.sessions[number], found.job.demands[number]
    unsure = found.request.uncertainty
    layer = math.hypot(unsure.depth_m, unsure.texture_m) * demand.area / demand.volume
    density, own = unsure.density / demand.density, math.sqrt(demand.own[0])
    spread = math.hypot(layer, density, own)
    over = demand.mixes / demand.mixes_exact - 1
    by = over / spread if spread else math.inf
    return Working(
        f"room to spare in {_name_of(session)}",
        "spread = root of the sum of squares of what is unsure; room = mixes / mixes needed - 1; "
        "room / spread in a table of the normal distribution",
        (
            ("depth and texture together", figure(100 * layer, "%", 2)),
            ("density", figure(100 * density, "%", 2)),
            ("area", figure(100 * own, "%", 2)),
            ("room", figure(100 * over, "%", 2)),
        ),
        f"spread {figure(100 * spread, '%', 2)}, room {figure(by, '', 2)} of it: about "
        f"{figure(100 * upper_tail(by), '%', 1)}" if spread else "nothing is unsure",
        "first order; the chance below is integrated",
    )  # fmt: skip


def _risk(request: Request, chance: float, spares: int) -> Working:
    unsure = request.uncertainty
    own = (
        ("area, each its own", figure(unsure.area_percent, "%", 2))
        if unsure.tape_m is None
        else ("each taped length", figure(1000 * unsure.tape_m, "mm", 2))
    )
    return Working(
        "chance of running short",
        "that one session or more needs more than its mixes; errors of depth, texture and density "
        "are common to the whole job, those of the tape an area's own; all normal, one standard "
        "deviation each; waste is expected loss, not contingency",
        (
            own,
            ("depth", figure(1000 * unsure.depth_m, "mm", 2)),
            ("texture", figure(1000 * unsure.texture_m, "mm", 2)),
            ("density", figure(unsure.density, "kg/m³", 1)),
        ),
        f"{figure(100 * chance, '%', 1)}; {spares} spare "
        f"{'mix brings' if spares == 1 else 'mixes bring'} it to "
        "5 % or less",
        f"own model; where not given, the uncertainties are {COMMON_PRACTICE}",
    )
