"""The front-garden planning question: does hard surfacing need planning permission?

A signpost, not advice: the local planning authority decides. Porous means the whole build-up
down to the soil; a porous overlay on concrete is not.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from quotes.engine.guards import positive
from quotes.engine.workings import Working, figure

FREE_AREA = 5.0  # m2; exactly 5 is still free
SOURCE = "General Permitted Development Order 2015, Schedule 2, Part 1, Class F"

Nation = Literal["england", "wales", "scotland", "northern_ireland"]
Answer = Literal["not needed", "needed", "ask"]


@dataclass(frozen=True, slots=True)
class Layer:
    """A layer of the build-up: its name and whether water passes it; None where unknown."""

    name: str
    porous: bool | None


@dataclass(frozen=True, slots=True)
class PlanningFacts:
    """What is known of the site; None means nobody has asked yet.

    front: between the principal elevation and a highway; area: m2 laid or replaced; layers: the
    whole build-up; drains_on_plot: run-off led to a lawn, border or soakaway on the plot;
    house: a dwelling house, not flats or a converted building.
    """

    nation: Nation | None
    front: bool | None
    area: float
    layers: Sequence[Layer]
    drains_on_plot: bool | None
    listed: bool | None
    article_4: bool | None
    dropped_kerb: bool | None
    house: bool | None = True


@dataclass(frozen=True, slots=True)
class PlanningAnswer:
    """The answer, the reasons for it, and the questions still to be asked."""

    answer: Answer
    reasons: tuple[str, ...]
    questions: tuple[str, ...]
    workings: tuple[Working, ...]

    @property
    def settled(self) -> bool:
        """Whether nothing is left to ask; until then the answer holds only if all is usual."""
        return self.answer != "ask" and not self.questions


def build_up_is_porous(layers: Sequence[Layer]) -> bool | None:
    """Whether water passes the whole build-up: False if any layer stops it, None if unknown.

    No layers at all are unknown.
    """
    if any(layer.porous is False for layer in layers):
        return False
    if not layers or any(layer.porous is None for layer in layers):
        return None
    return True


def planning_question(facts: PlanningFacts) -> PlanningAnswer:
    """Whether planning permission is needed: 'not needed', 'needed', or 'ask'.

    Needed where more than 5 m2 at the front are laid or replaced, the build-up is not porous,
    and its water is not drained on the plot. 'ask' where something unknown would decide, the
    house is not in England, or it is listed or under an Article 4 direction. Errors: ModelError
    for an area that is not positive. Source: GPDO 2015 Class F.
    """
    area = positive(facts.area, "area", "m2")
    porous = build_up_is_porous(facts.layers)
    free = _freed_by(facts, area, porous)
    doubts = _doubts(facts)
    unknown = _unknown(facts, area, porous)
    answer: Answer
    if doubts or (unknown and not free):
        answer, reasons = "ask", doubts or ("something that would decide it is not known yet",)
    elif free:
        answer, reasons = "not needed", free
    else:
        answer = "needed"
        reasons = ("more than 5 m² at the front, not porous, and not drained on the plot",)
    questions = (*unknown, *_always_ask(facts))
    said = Working(
        "planning question",
        "front, and more than 5 m², and not porous to the soil, and not drained on the plot",
        (
            ("area", figure(area, "m²", 2)),
            ("front", _word(facts.front)),
            ("porous to the soil", _word(porous)),
            ("drained on the plot", _word(facts.drains_on_plot)),
        ),
        answer,
        SOURCE,
    )
    return PlanningAnswer(answer, reasons, questions, (said,))


def _word(value: bool | None) -> str:
    return {True: "yes", False: "no", None: "not known"}[value]


def _freed_by(facts: PlanningFacts, area: float, porous: bool | None) -> tuple[str, ...]:
    """What alone makes permission needless, where the ordinary rule applies."""
    grounds = (
        (facts.front is False, "it is not between the front of the house and a highway"),
        (area <= FREE_AREA * (1 + 1e-9), "no more than 5 m² are laid or replaced"),
        (porous is True, "the whole build-up is porous"),
        (facts.drains_on_plot is True, "the water is led to porous ground on the plot"),
    )
    return tuple(sentence for holds, sentence in grounds if holds)


def _doubts(facts: PlanningFacts) -> tuple[str, ...]:
    """What takes the case out of the ordinary rule."""
    grounds = (
        (facts.nation is None, "the nation is not known, and each has its own rule"),
        (facts.nation not in {"england", None}, "the rule of this nation is another"),
        (facts.listed is True, "a listed building needs the authority's consent"),
        (facts.article_4 is True, "an Article 4 direction takes the ordinary right away"),
        (facts.house is False, "the right is for dwelling houses only"),
    )
    return tuple(sentence for holds, sentence in grounds if holds)


def _unknown(facts: PlanningFacts, area: float, porous: bool | None) -> tuple[str, ...]:
    """Questions whose answer would decide."""
    asked = [
        (facts.nation is None, "Which nation is the site in?"),
        (facts.front is None, "Is it between the front of the house and a highway?"),
    ]
    if area > FREE_AREA * (1 + 1e-9) and facts.front is not False:
        asked += [
            (porous is None, "Is every layer down to the soil porous?"),
            (
                facts.drains_on_plot is None and porous is not True,
                "Is the water led to a lawn, border or soakaway on the plot?",
            ),
        ]
    return tuple(question for missing, question in asked if missing)


def _always_ask(facts: PlanningFacts) -> tuple[str, ...]:
    """Questions that stand beside the rule, whatever it says."""
    asked = (
        (facts.listed is None, "Is the building listed?"),
        (facts.article_4 is None, "Is there an Article 4 direction or a conservation area?"),
        (facts.house is None, "Is it a dwelling house, not flats or a conversion?"),
        (facts.dropped_kerb is None, "Is a new or wider dropped kerb wanted?"),
        (
            facts.dropped_kerb is True,
            "Has the highway authority agreed to the dropped kerb? It is a separate application.",
        ),
    )
    return tuple(question for missing, question in asked if missing)
