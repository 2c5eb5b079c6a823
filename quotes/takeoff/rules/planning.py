"""The front-garden planning question, from a survey's answers and a few asked beside them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import cast

from quotes.engine import cautions_site, falls, water
from quotes.engine.errors import EngineError
from quotes.engine.planning import Layer, Nation, PlanningAnswer, PlanningFacts, planning_question

YES_NO = {"yes": True, "no": False}
# A survey's kind of base in the engine's words; None: it does not tell.
BASES = {
    "tarmac": "dense tarmac", "concrete": "concrete", "open_tarmac": "open-graded tarmac",
}  # fmt: skip
UNSAID = "something that would decide it is not known yet"
WORDS = {
    "needed": "Planning permission seems to be needed",
    "not needed": "Planning permission seems not to be needed",
    "ask": "Whether planning permission is needed is not clear",
}
LEVELS = {"needed": "look", "ask": "look", "not needed": "ready"}


@dataclass(frozen=True)
class PlanningSheet:
    """The answer with what it was made from; `his` is what the customer reads, '' for nothing."""

    facts: PlanningFacts
    answer: PlanningAnswer
    his: str = ""

    @property
    def title(self) -> str:
        """The answer in words; with questions open it holds only if all is usual."""
        word = WORDS[self.answer.answer]
        if self.answer.answer == "ask" or self.answer.settled:
            return word
        return f"{word}, if the open questions are answered as usual"

    @property
    def level(self) -> str:
        """ready only when nothing is left to ask."""
        return LEVELS[self.answer.answer] if self.answer.settled else "look"


def layers_of(base_kind: str, below: str) -> list[Layer]:
    """Return the build-up down to the soil; a base that the survey does not tell goes with below.

    below: whether every layer under the base lets water through, as it was answered.
    """
    surface = Layer("resin-bound surface", water.POROUS_BASES["resin-bound surface"])
    under = YES_NO.get(below)
    if base_kind in BASES:
        name = BASES[base_kind]
        return [surface, Layer(name, water.POROUS_BASES[name]), Layer("what is below", under)]
    return [surface, Layer("base and what is below", under)]


def planning_of(
    base_kind: str, front_garden: str, area_m2: float, answers: Mapping[str, str]
) -> PlanningSheet | None:
    """Return the answer for a survey; None without an area. Answers are 'yes', 'no', 'unknown'."""
    nation = answers.get("nation", "unknown")
    facts = PlanningFacts(
        nation=None if nation == "unknown" else cast("Nation", nation),
        front=YES_NO.get(front_garden),
        area=area_m2,
        layers=layers_of(base_kind, answers.get("porous_below", "unknown")),
        drains_on_plot=YES_NO.get(answers.get("drains_on_plot", "unknown")),
        listed=YES_NO.get(answers.get("listed", "unknown")),
        article_4=YES_NO.get(answers.get("article_4", "unknown")),
        dropped_kerb=YES_NO.get(answers.get("dropped_kerb", "unknown")),
        house=YES_NO.get(answers.get("house", "unknown")),
    )
    try:
        found = planning_question(facts)
    except EngineError:
        return None
    return PlanningSheet(facts, found, for_customer(facts, found))


def for_customer(facts: PlanningFacts, found: PlanningAnswer) -> str:
    """Return the one sentence that the customer reads: only where a front garden is laid.

    What nobody has asked yet is our own work and told him in general words.
    """
    if facts.front is not True or found.answer == "not needed":
        return ""
    known = replace(found, reasons=found.reasons[:1], questions=())
    if found.answer == "ask" and facts.nation is None:
        known = replace(known, reasons=(UNSAID,))
    his = [each for each in cautions_site.planning_cautions(known) if each.audience == "customer"]
    return his[0].message if his else ""


def fall_words(text: str) -> tuple[list[tuple[str, str]], str]:
    """Return a fall in every notation and for people, or [] and the sentence that refuses it."""
    try:
        fall = falls.parse_fall(text)
        each = falls.notations(fall)
    except EngineError as error:
        return [], f"{error.message}."
    found = [
        ("as a ratio", each.ratio), ("in per cent", each.percent), ("in degrees", each.degrees),
        ("in mm a metre", each.millimetres), ("for people", falls.slope_for_people(fall)),
    ]  # fmt: skip
    flight = falls.longest_ramp(fall)
    return [*found, *([("longest flight", f"{flight:g} m")] if flight else [])], ""
