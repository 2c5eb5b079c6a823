"""The planning question of a survey: its build-up, what is asked, what the customer reads."""

from __future__ import annotations

from typing import Any

import pytest

from quotes.takeoff.rules.planning import fall_words, layers_of, planning_of

USUAL = {
    "nation": "england", "house": "yes", "listed": "no", "article_4": "no", "dropped_kerb": "no",
    "porous_below": "yes", "drains_on_plot": "no",
}  # fmt: skip


def sheet(base: str = "open_tarmac", front: str = "yes", area: float = 30, **changed: str) -> Any:
    return planning_of(base, front, area, USUAL | changed)


@pytest.mark.parametrize(
    ("base", "front", "area", "changed", "answer"),
    [
        ("open_tarmac", "yes", 30, {}, "not needed"),  # porous down to the soil
        ("concrete", "yes", 30, {}, "needed"),  # a porous overlay on concrete is not porous
        ("tarmac", "yes", 30, {}, "needed"),
        ("tarmac", "yes", 5.0, {}, "not needed"),  # exactly 5 m² is still free
        ("tarmac", "yes", 5.01, {}, "needed"),
        ("tarmac", "no", 30, {}, "not needed"),
        ("tarmac", "yes", 30, {"drains_on_plot": "yes"}, "not needed"),
        ("open_tarmac", "yes", 30, {"porous_below": "no"}, "needed"),
        ("open_tarmac", "yes", 30, {"porous_below": "unknown"}, "ask"),
        ("grid", "yes", 30, {"porous_below": "unknown"}, "ask"),
        ("tarmac", "unknown", 30, {}, "ask"),
        ("open_tarmac", "yes", 30, {"nation": "scotland"}, "ask"),
        ("open_tarmac", "yes", 30, {"listed": "yes"}, "ask"),
        ("open_tarmac", "yes", 30, {"article_4": "yes"}, "ask"),
        ("open_tarmac", "yes", 30, {"house": "no"}, "ask"),
    ],
)
def test_answers(base: str, front: str, area: float, changed: dict[str, str], answer: str) -> None:
    # GPDO 2015, Schedule 2, Part 1, Class F, as tests/outside/test_facts_planning.py has it.
    assert sheet(base, front, area, **changed).answer.answer == answer


def test_a_build_up_is_as_porous_as_its_closest_layer() -> None:
    assert [layer.porous for layer in layers_of("concrete", "yes")] == [True, False, True]
    assert [layer.porous for layer in layers_of("open_tarmac", "no")] == [True, True, False]
    assert [layer.porous for layer in layers_of("other", "unknown")] == [True, None]


def test_open_questions_keep_the_answer_from_being_ready() -> None:
    settled, open_ = sheet(), sheet(listed="unknown")

    assert settled.level == "ready"
    assert open_.level == "look"
    assert "if the open questions are answered as usual" in open_.title
    assert open_.answer.questions == ("Is the building listed?",)


def test_the_customer_reads_one_sentence_and_only_of_a_front_garden() -> None:
    needed, fine, elsewhere = sheet("concrete"), sheet(), sheet(front="no", nation="unknown")

    assert needed.his.startswith("Planning permission seems to be needed")
    assert fine.his == ""
    assert elsewhere.his == ""
    unasked = sheet("concrete", nation="unknown")
    assert "something that would decide it is not known yet" in unasked.his
    assert "nation" not in unasked.his


def test_nothing_measured_has_no_answer() -> None:
    assert planning_of("tarmac", "yes", 0.0, USUAL) is None


def test_falls_in_every_notation() -> None:
    # 1:80 is 1.25 % and 0.716 degrees, as issue and guides print it
    assert dict(fall_words("1:80")[0])["in degrees"] == "0.716°"
    assert fall_words("1.25 %")[0] == fall_words("1:80")[0]
    assert ("longest flight", "5 m") in fall_words("1:15")[0]
    assert fall_words("steep")[1].startswith("'steep' is not a fall")
