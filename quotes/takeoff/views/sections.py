"""What the take-off page keeps folded until it is asked for: loads, pace, kits, stone."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from quotes.engine.errors import EngineError
from quotes.engine.pace import LiveEdge
from quotes.takeoff import queries
from quotes.takeoff.forms import KitForm, PaceForm, asked
from quotes.takeoff.rules import Purchase, TakeOff
from quotes.takeoff.rules.site import kits_of, loads_of, pace_of
from quotes.takeoff.rules.stone import stones_of
from quotes.takeoff.views.common import steps_of


def sections_of(
    request: HttpRequest, found: TakeOff, purchases: tuple[Purchase, ...]
) -> dict[str, Any]:
    """Return what each folded part shows; three queries, none without an answer."""
    if found.worked is None:
        return {}
    vehicles, mixers = queries.resources()
    loads = loads_of(purchases, vehicles)
    pace_form = asked(PaceForm, request, **first_pace(found, mixers))
    kit_form = asked(KitForm, request)
    stones = stones_of(found, queries.sizes_of(found))
    return {
        "loads": loads,
        "loads_steps": steps_of(loads.workings),
        "asked_forms": [pace_form, kit_form],
        "pace_form": pace_form,
        "kit_form": kit_form,
        "stones": [{"stone": each, "steps": steps_of(each.workings)} for each in stones],
        **pace_context(found, pace_form),
        **kit_context(found, kit_form),
        "open_part": next(
            (name for name in ("pace", "kit") if f"{name}form-ask" in request.GET), ""
        ),
    }


def first_pace(found: TakeOff, mixers: int) -> dict[str, Any]:
    """Return what the pace is asked with first: the firm's mixers, the longest mixing time."""
    seconds = max((card.mix_seconds for card in found.cards.values()), default=120)
    return {"mixers": min(max(mixers, 1), 20), "mixing": float(min(max(seconds, 60), 1800))}


def pace_context(found: TakeOff, form: Any) -> dict[str, Any]:
    """Return the pace, or why there is none."""
    if not form.is_valid():
        return {}
    try:
        pace = pace_of(found, form.day)
    except EngineError as error:
        return {"pace_problem": f"{error.message}."}
    return {"pace": pace, "pace_steps": steps_of(pace.workings), **edge_words(pace.edge)}


def edge_words(edge: LiveEdge | None) -> dict[str, str]:
    """Return the live edge in words, and what would help."""
    if edge is None:
        return {}
    if not edge.lane:
        return {"edge_title": "One lane: there is no edge to come back to"}
    held = "within" if edge.holds else "beyond"
    remedy = (
        f"A lane of {edge.longest_lane:.1f} m would just hold." if edge.longest_lane
        else "No lane would hold: more mixers, narrower lanes, or a cooler hour."
    )  # fmt: skip
    return {
        "edge_title": f"The edge is {edge.age / 60:.0f} min old when it is met again, in lane "
        f"{edge.lane} at worst: {held} the working time",
        "edge_reason": remedy,
    }


def kit_context(found: TakeOff, form: Any) -> dict[str, Any]:
    """Return the kits after their stay, or why there is no answer."""
    if not form.is_valid():
        return {}
    try:
        kits = kits_of(found, form.asked_for)
    except EngineError as error:
        return {"kits_problem": f"{error.message}."}
    return {"kits": kits, "kits_steps": steps_of(s for kit in kits for s in kit.mix.workings)}
