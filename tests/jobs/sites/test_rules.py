"""What a site is called, and what a 'no' means."""

from __future__ import annotations

from jobs.sites.models import ANSWERS
from jobs.sites.rules import QUESTIONS, WHEN_NO, name_of, notes_on


def test_the_questions_are_those_of_the_model_and_each_no_has_a_sentence() -> None:
    assert QUESTIONS == ANSWERS
    assert set(WHEN_NO) == set(QUESTIONS)


def test_a_site_is_called_by_the_first_line_of_its_address() -> None:
    assert name_of("\n 4 Mill Lane, Orrford\nHerefordshire") == "4 Mill Lane"
    assert name_of("  ") == ""


def test_only_a_no_is_a_warning() -> None:
    answers = {"water": "no", "power": "unknown", "wagon_access": "yes"}
    assert notes_on(answers) == ["No water on site: bring it."]
