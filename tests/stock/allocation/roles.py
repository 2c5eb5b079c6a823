"""Who may see what jobs need, and reserve for them."""

from __future__ import annotations

from uuid import uuid4

from jobs.kernel.clock import now
from stock.allocation.models import Reservation
from stock.allocation.services import ask_proposal, reserve_job
from tests.factories import AT, make_job, make_kit, make_lot, make_requirement
from tests.role_rows import Row, World, everybody, only


def job() -> World:
    found, kit = make_job(stage="won"), make_kit()
    make_requirement(found, kit, 2)
    make_lot(kit, 2)
    return World({"pk": found.pk})


def reservation() -> World:
    world = job()
    reserve_job(job_id=world.kwargs["pk"], by=None, at=AT)
    kept = Reservation.objects.get(requirement__job_id=world.kwargs["pk"])
    return World({"pk": kept.pk}, {"pinned": "yes"})


def not_won() -> World:
    return World({"pk": make_job(stage="quoted").pk})


def missing() -> World:
    return World({"pk": 999_999})


def proposal() -> World:
    """A proposal with one line that may be taken over."""
    job()
    made = ask_proposal(days=42, by=None, at=now())
    return World({"uid": made.uid})


def horizon() -> World:
    job()
    return World(data={"days": "42"})


def shown() -> World:
    proposal()
    return World()


def no_proposal() -> World:
    return World({"uid": uuid4()})


STOREMAN = ("owner", "storeman")
ASKED = ("stock.Proposal", "stock.ProposalLine")
KEPT = ("stock.Reservation", "stock.Lot")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("allocation:list", "GET", everybody()),
    Row("allocation:proposal", "GET", everybody(), shown),
    Row("allocation:propose", "POST", only(*STOREMAN, status=302), horizon, models=ASKED),
    Row("allocation:progress", "GET", everybody(), proposal),
    Row("allocation:progress", "GET", GONE, no_proposal, "other"),
    Row("allocation:take", "POST", only(*STOREMAN, status=302), proposal, models=(*KEPT, *ASKED)),
    Row("allocation:take", "POST", GONE, no_proposal, "other", (*KEPT, *ASKED)),
    Row("allocation:job", "GET", everybody(), job),
    Row("allocation:job", "GET", GONE, not_won, "other"),
    Row("allocation:reserve", "POST", only(*STOREMAN, status=302), job, models=KEPT),
    Row("allocation:reserve", "POST", GONE, not_won, "other", KEPT),
    Row("allocation:release", "POST", only(*STOREMAN, status=302), reservation, models=KEPT),
    Row("allocation:release", "POST", GONE, missing, "other", KEPT),
    Row("allocation:pin", "POST", only(*STOREMAN, status=302), reservation, models=KEPT),
    Row("allocation:pin", "POST", GONE, missing, "other", KEPT),
]
