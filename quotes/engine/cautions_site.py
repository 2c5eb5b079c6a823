"""Cautions of the site: weather, dust, resin, vibration, lifting, loads, water and slopes.

They remind and defer: to the safety data sheet, the maker's figure, the authority. Importing
the module registers its kinds; `cautions.caution(code, **values)` makes one.
"""

from quotes.engine.cautions import Caution, caution, register
from quotes.engine.exposure import ISOCYANATES
from quotes.engine.handling import LiftCheck
from quotes.engine.moisture import SurfaceGate
from quotes.engine.planning import SOURCE as PLANNING_SOURCE
from quotes.engine.planning import PlanningAnswer
from quotes.engine.vibration import SOURCE as VIBRATION_SOURCE
from quotes.engine.vibration import Exposure

_SHEET = "safety data sheet of the product"

register(
    "site_silica",
    level="sign",
    sentence="Cutting or breaking stone, concrete or tarmac sets free silica dust, which scars "
    "lungs for good: cut wet or with extraction, wear a fitted mask, and follow the safety data "
    "sheet.",
    source=_SHEET,
)
register(
    "site_isocyanates",
    level="sign",
    sentence="The hardener holds isocyanates, which can cause asthma: gloves, eye protection, "
    f"open air, nobody sensitised near it. Limits {ISOCYANATES.eight_hours:g} mg/m³ over 8 h "
    f"and {ISOCYANATES.fifteen_minutes:g} over 15 min. Follow the safety data sheet.",
    source=ISOCYANATES.source,
)
register(
    "site_dust",
    level="note",
    sentence="Dry sand and fillers dust when bags are emptied: stand upwind, wear a mask, and "
    "follow the safety data sheet.",
    source=_SHEET,
)
register(
    "whole_hardener",
    level="sign",
    sentence="Pour in the whole of the hardener and mix at least 60 s: what is left in the tin "
    "is missing in the floor, and the mix will not cure.",
)
register(
    "surface_near_dew",
    level="stop",
    sentence="Do not lay: the surface is {margin} °C above the dew point, and {needed} °C are "
    "wanted. It will do from a surface of {least} °C.",
    source="coating practice after ISO 8502-4",
)
register(
    "air_too_damp",
    level="stop",
    sentence="Do not lay: the humidity of {humidity} % is not below the limit of {limit} %.",
    source="coating practice after ISO 8502-4",
)
register(
    "base_not_dry",
    level="stop",
    sentence="Do not lay: the base has not been dry for long enough.",
)
register(
    "vibration_action",
    level="sign",
    sentence="The day's vibration of {a8} m/s² A(8) ({points} points) reaches the action value "
    "of 2.5: share the work out and keep health surveillance.",
    source=VIBRATION_SOURCE,
)
register(
    "vibration_limit",
    level="stop",
    sentence="The day's vibration of {a8} m/s² A(8) ({points} points) is above the limit of 5: "
    "this work may not be done by one person in one day.",
    source=VIBRATION_SOURCE,
)
register(
    "heavy_lift",
    level="note",
    sentence="{what} fails the lifting filter of {limit} kg: assess the lift, use two people or "
    "a barrow. There is no legal limit.",
    source="manual handling filter, values from memory",
)
register(
    "planning_needed",
    level="sign",
    sentence="Planning permission seems to be needed: {reason}. Ask the local planning authority.",
    source=PLANNING_SOURCE,
    audience="customer",
)
register(
    "planning_unclear",
    level="sign",
    sentence="Whether planning permission is needed is not clear: {reason}. Ask the local "
    "planning authority.",
    source=PLANNING_SOURCE,
    audience="customer",
)
register(
    "planning_question",
    level="note",
    sentence="Planning, still to be asked: {question}",
    source=PLANNING_SOURCE,
)


def gate_cautions(
    gate: SurfaceGate, humidity: float, limits: tuple[float, float]
) -> tuple[Caution, ...]:
    """What a surface gate has to say; humidity in %, limits (margin °C, humidity %)."""
    said = []
    if not gate.warm_enough:
        said.append(
            caution(
                "surface_near_dew",
                margin=f"{gate.margin_degc:.1f}",
                needed=f"{limits[0]:g}",
                least=f"{gate.least_surface_degc:.1f}",
            )
        )
    if not gate.air_dry_enough:
        said.append(caution("air_too_damp", humidity=f"{humidity:g}", limit=f"{limits[1]:g}"))
    if not gate.base_dry_enough:
        said.append(caution("base_not_dry"))
    return tuple(said)


def vibration_cautions(exposure: Exposure) -> tuple[Caution, ...]:
    """What a day's vibration has to say: the limit, or the action value, or nothing."""
    code = "vibration_limit" if exposure.over_limit else "vibration_action"
    if not exposure.over_action:
        return ()
    return (caution(code, a8=f"{exposure.a8:.2f}", points=f"{exposure.points:.0f}"),)


def lift_cautions(what: str, lift: LiftCheck) -> tuple[Caution, ...]:
    """What a lift has to say: nothing if it passes the filter."""
    if lift.passes:
        return ()
    return (caution("heavy_lift", what=what, limit=f"{lift.filter_mass:.4g}"),)


def planning_cautions(answer: PlanningAnswer) -> tuple[Caution, ...]:
    """What the planning question has to say: permission or doubt first, then the questions."""
    codes = {"needed": "planning_needed", "ask": "planning_unclear"}
    said = [
        caution(codes[answer.answer], reason=reason)
        for reason in answer.reasons
        if answer.answer in codes
    ]
    asked = [caution("planning_question", question=question) for question in answer.questions]
    return (*said, *asked)


def work_cautions(*, cutting: bool, resin: bool, dry_fillers: bool) -> tuple[Caution, ...]:
    """The reminders that a day's work calls for: silica, isocyanates, dust."""
    wanted = (
        (cutting, "site_silica"),
        (resin, "site_isocyanates"),
        (resin, "whole_hardener"),
        (dry_fillers, "site_dust"),
    )
    return tuple(caution(code) for holds, code in wanted if holds)
