"""What the answers of a visit mean for the quote."""

from __future__ import annotations

from jobs.surveys.models import QUESTIONS
from jobs.surveys.rules.answers import MEANING, cautions_of

WORDS = {name: name.replace("_", " ") for name in QUESTIONS}
CLEAR = {
    "damp_course": "yes", "airbricks_clear": "yes", "thresholds_clear": "yes", "covers": "no",
    "drains": "no", "movement_joints": "no", "doors_clear": "yes", "trees": "no",
    "services_searched": "yes", "old_tarmac": "no", "coal_tar_tested": "unknown",
    "front_garden": "no",
}  # fmt: skip


def test_a_clear_visit_has_no_caution_and_tar_is_asked_only_where_one_digs() -> None:
    assert set(CLEAR) == set(QUESTIONS)
    assert cautions_of(CLEAR, WORDS) == []
    (tar,) = cautions_of(CLEAR | {"old_tarmac": "yes"}, WORDS)
    assert (tar.code, tar.level) == ("coal_tar", "stop")
    assert cautions_of(CLEAR | {"old_tarmac": "yes", "coal_tar_tested": "yes"}, WORDS) == []


def test_each_open_question_is_a_caution_of_its_own() -> None:
    found = cautions_of(CLEAR | {"trees": "unknown", "drains": "unknown"}, WORDS)
    assert [(c.code, c.sentence) for c in found] == [
        ("open_drains", "Not asked yet: drains."), ("open_trees", "Not asked yet: trees."),
    ]  # fmt: skip


def test_what_could_hurt_stops() -> None:
    for name in ("damp_course", "airbricks_clear", "services_searched"):
        (caution,) = cautions_of(CLEAR | {name: "no"}, WORDS)
        assert caution.level == "stop"
    assert {name for name, _ in MEANING} <= set(QUESTIONS)
