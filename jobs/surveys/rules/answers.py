"""What the answers of a visit mean for the quote: each open one is a caution."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class AnswerCaution:
    """A caution from an answer: a code, a level ('stop' or 'look'), a sentence, its source."""

    code: str
    level: str
    sentence: str
    source: str = "common practice, no source"
    matter: str = ""

    @property
    def is_open(self) -> bool:
        """Whether it is there because nobody asked; `matter` is then the question in words."""
        return self.code.startswith("open_")


FRONT_GARDEN = (
    "Guidance on the permeable surfacing of front gardens, 2009; GPDO 2015, Schedule 2 Part 1 "
    "Class F"
)
# (question, answer): what it means. Common practice, no source, unless a source is named.
MEANING: dict[tuple[str, str], AnswerCaution] = {
    ("damp_course", "no"): AnswerCaution(
        "damp_course", "stop",
        "The surface would stand less than 150 mm below the damp course: lower the base, or agree "
        "a drained gap with whoever is responsible for the building.",
    ),
    ("airbricks_clear", "no"): AnswerCaution(
        "airbricks", "stop", "An airbrick would be covered: lower the base or raise the airbrick."
    ),
    ("thresholds_clear", "no"): AnswerCaution(
        "thresholds", "stop", "A threshold would be reached: lower the base or drain before it."
    ),
    ("doors_clear", "no"): AnswerCaution(
        "doors", "look", "A door or gate would not open over the surface: trim it or ramp down."
    ),
    ("covers", "yes"): AnswerCaution(
        "covers", "look", "There are covers to recess: price and order the trays."
    ),
    ("movement_joints", "yes"): AnswerCaution(
        "movement_joints", "look", "Movement joints in the base are carried through the surface."
    ),
    ("trees", "yes"): AnswerCaution(
        "trees", "look", "Roots near: agree how to dig, and exclude heave by roots."
    ),
    ("services_searched", "no"): AnswerCaution(
        "services", "stop", "Buried services are not searched: search before anybody digs."
    ),
    ("front_garden", "yes"): AnswerCaution(
        "front_garden", "look",
        "A front garden of more than 5 m²: the whole build-up must be porous, or the water led to "
        "a porous area of the plot, or planning permission is needed.",
        FRONT_GARDEN,
    ),
}  # fmt: skip
TAR = AnswerCaution(
    "coal_tar", "stop",
    "Old tarmac is to be dug out and not tested for coal tar: test it first, it may be hazardous "
    "waste.",
)  # fmt: skip


def not_asked(name: str, words: str) -> AnswerCaution:
    """Return the caution of an open question."""
    return AnswerCaution(f"open_{name}", "look", f"Not asked yet: {words}.", matter=words)


def cautions_of(answers: Mapping[str, str], words: Mapping[str, str]) -> list[AnswerCaution]:
    """Return the cautions of a visit's answers, in the order in which they are asked.

    `words` gives each question in words. Old tarmac that is not dug out needs no test.
    """
    found = []
    digs = answers.get("old_tarmac") == "yes"
    for name, answer in answers.items():
        if name == "coal_tar_tested":
            if digs and answer != "yes":
                found.append(TAR)
        elif answer == "unknown":
            found.append(not_asked(name, words[name]))
        elif (name, answer) in MEANING:
            found.append(MEANING[name, answer])
    return found
