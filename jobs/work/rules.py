"""The stages of a job: which follows which, and what the next step is called; no rows.

A stage moves by what happens: the service that records the event names the stage it leads to.
"""

from __future__ import annotations

from enum import Enum

from jobs.work.enums import Stage

# In the order in which a job goes through them.
LINE: tuple[Stage, ...] = (
    Stage.ENQUIRY, Stage.SURVEYED, Stage.QUOTED, Stage.WON, Stage.BOOKED, Stage.ON_SITE,
    Stage.SNAGGING, Stage.COMPLETE, Stage.IN_GUARANTEE,
)  # fmt: skip
CLOSED = (Stage.LOST, Stage.CANCELLED)

# From each stage, the stages that an event may lead to. Steps are skipped where the event came
# without them: a builder's order without a quote of ours, a job laid without a snag.
ALLOWED: dict[Stage, frozenset[Stage]] = {
    Stage.ENQUIRY: frozenset({Stage.SURVEYED, Stage.QUOTED, Stage.WON}),
    Stage.SURVEYED: frozenset({Stage.QUOTED, Stage.WON}),
    Stage.QUOTED: frozenset({Stage.WON}),
    Stage.WON: frozenset({Stage.BOOKED, Stage.ON_SITE}),
    Stage.BOOKED: frozenset({Stage.ON_SITE}),
    Stage.ON_SITE: frozenset({Stage.SNAGGING, Stage.COMPLETE}),
    Stage.SNAGGING: frozenset({Stage.COMPLETE}),
    Stage.COMPLETE: frozenset({Stage.IN_GUARANTEE}),
    Stage.IN_GUARANTEE: frozenset(),
    Stage.LOST: frozenset(),
    Stage.CANCELLED: frozenset(),
}
# Events that undo one: the last booking taken out, a lay day opened by mistake, a snag found late.
ALLOWED_BACK: dict[Stage, frozenset[Stage]] = {
    Stage.BOOKED: frozenset({Stage.WON}),
    Stage.ON_SITE: frozenset({Stage.BOOKED, Stage.WON}),
    Stage.COMPLETE: frozenset({Stage.SNAGGING}),
    Stage.IN_GUARANTEE: frozenset({Stage.SNAGGING}),
}
CAN_BE_LOST = frozenset({Stage.ENQUIRY, Stage.SURVEYED, Stage.QUOTED})
CAN_BE_CANCELLED = frozenset({Stage.ENQUIRY, Stage.SURVEYED, Stage.QUOTED, Stage.WON, Stage.BOOKED,
                              Stage.ON_SITE, Stage.SNAGGING})  # fmt: skip

# What comes next, for a page on which no room offers the step itself.
NEXT_STEP: dict[Stage, str] = {
    Stage.ENQUIRY: "Measure the site.",
    Stage.SURVEYED: "Write the quote.",
    Stage.QUOTED: "Wait for the customer's answer, or ask.",
    Stage.WON: "Reserve the materials and book a crew.",
    Stage.BOOKED: "Issue the materials to the site before the lay day.",
    Stage.ON_SITE: "Finish the laying.",
    Stage.SNAGGING: "Put the snags right and hand over.",
    Stage.COMPLETE: "Give the guarantee.",
    Stage.IN_GUARANTEE: "Nothing; call-backs come from here.",
    Stage.LOST: "Nothing, unless the customer comes back.",
    Stage.CANCELLED: "Nothing, unless the customer comes back.",
}
# Events that a person records here, because no other room sees them: stage, from where, words.
BY_HAND: dict[Stage, tuple[frozenset[Stage], str]] = {
    Stage.SNAGGING: (frozenset({Stage.ON_SITE}), "The laying is finished"),
    Stage.COMPLETE: (frozenset({Stage.ON_SITE, Stage.SNAGGING}), "Hand over: no snag is left"),
    Stage.IN_GUARANTEE: (frozenset({Stage.COMPLETE}), "The guarantee is given"),
}


class Move(Enum):
    """What an event does to a job's stage."""

    GO = "go"
    STAY = "stay"
    REFUSE = "refuse"


def judge_move(here: Stage, to: Stage, *, back: bool = False) -> Move:
    """Return whether an event that leads to `to` moves a job that is at `here`.

    An event that led to this stage or an earlier one changes nothing, unless it undoes (`back`).
    Raises ValueError for a stage that no event leads to (lost, cancelled).
    """
    if to in CLOSED:
        raise ValueError(f"'{to}' has a service of its own, because it needs a reason.")
    if here in CLOSED:
        return Move.REFUSE
    if here == to:
        return Move.STAY
    if back:
        return Move.GO if to in ALLOWED_BACK.get(here, frozenset()) else Move.STAY
    if LINE.index(to) < LINE.index(here):
        return Move.STAY
    return Move.GO if to in ALLOWED[here] else Move.REFUSE


def title_of(title: str, address: str) -> str:
    """Return a job's title: as typed, or from the address where nobody typed one."""
    bare = " ".join(title.split())
    first = address.strip().splitlines()[0] if address.strip() else ""
    return (bare or f"Surfacing, {first}".rstrip(", "))[:120]
