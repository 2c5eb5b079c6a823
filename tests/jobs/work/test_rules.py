"""The table of stages."""

from __future__ import annotations

from itertools import pairwise

import pytest

from jobs.work import rules
from jobs.work.enums import Stage
from jobs.work.rules import ALLOWED, ALLOWED_BACK, BY_HAND, LINE, Move, judge_move

OPEN_LINE = [stage for stage in LINE if stage in Stage.OPEN]


def test_every_stage_stands_in_the_table_and_has_a_next_step() -> None:
    assert set(ALLOWED) == set(Stage)
    assert set(rules.NEXT_STEP) == set(Stage)
    assert {*LINE, *rules.CLOSED} == set(Stage)


def test_each_stage_leads_to_the_next_one() -> None:
    for here, to in pairwise(LINE):
        assert judge_move(here, to) is Move.GO


def test_allowed_moves_go_forward_and_undoing_ones_back() -> None:
    for here, onward in ALLOWED.items():
        assert all(LINE.index(to) > LINE.index(here) for to in onward)
    for here, back in ALLOWED_BACK.items():
        assert all(LINE.index(to) < LINE.index(here) for to in back)


@pytest.mark.parametrize(
    ("here", "to", "back", "move"),
    [
        ("won", "quoted", False, Move.STAY),  # a second quote on a job that is won
        ("won", "won", False, Move.STAY),
        ("enquiry", "booked", False, Move.REFUSE),  # nobody books what is not won
        ("quoted", "on_site", False, Move.REFUSE),
        ("booked", "won", False, Move.STAY),
        ("booked", "won", True, Move.GO),  # the last booking taken out
        ("snagging", "won", True, Move.STAY),
        ("lost", "won", False, Move.REFUSE),
        ("cancelled", "surveyed", False, Move.REFUSE),
        ("enquiry", "won", False, Move.GO),  # a builder's order without a quote of ours
    ],
)
def test_what_an_event_does(here: str, to: str, back: bool, move: Move) -> None:
    assert judge_move(Stage(here), Stage(to), back=back) is move


@pytest.mark.parametrize("to", ["lost", "cancelled"])
def test_an_end_needs_a_reason_and_so_a_service_of_its_own(to: str) -> None:
    with pytest.raises(ValueError, match="service of its own"):
        judge_move(Stage.ENQUIRY, Stage(to))


def test_steps_by_hand_are_moves_of_the_table() -> None:
    for to, (sources, words) in BY_HAND.items():
        assert words
        assert all(to in ALLOWED[here] for here in sources)


def test_only_open_jobs_are_lost_or_cancelled() -> None:
    assert rules.CAN_BE_LOST <= rules.CAN_BE_CANCELLED
    assert set(OPEN_LINE) == rules.CAN_BE_CANCELLED


def test_a_job_without_a_title_is_called_by_its_address() -> None:
    assert rules.title_of("", "4 Mill Lane\nOrrford") == "Surfacing, 4 Mill Lane"
    assert rules.title_of("  Drive  and path ", "4 Mill Lane") == "Drive and path"
    assert len(rules.title_of("x" * 400, "")) == 120
