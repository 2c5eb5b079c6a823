"""The proposal for all jobs of the horizon: asked for, looked at, taken over."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.errors import ServiceError
from jobs.kernel.lists import RoomListView
from jobs.kernel.views import RoomPage, ServiceActionView
from stock.allocation import queries, services
from stock.allocation.enums import ProposalState
from stock.allocation.filters import ProposalLineFilter
from stock.allocation.forms import TAKE_WHAT, AskForm, TakeForm
from stock.allocation.models import Proposal, ProposalLine
from stock.allocation.tables import ProposalLineTable
from stock.allocation.views.common import RESERVE, SEE


@dataclass
class Bundle:
    """Jobs that are taken over together, with what that changes."""

    number: int
    jobs: dict[int, str] = field(default_factory=dict)
    new: int = 0
    given_up: int = 0
    left: int = 0

    @property
    def words(self) -> str:
        """What it changes, counted."""
        parts = [(self.new, "lot to reserve", "lots to reserve")]
        parts.append((self.given_up, "lot given up", "lots given up"))
        return ", ".join(f"{n} {one if n == 1 else many}" for n, one, many in parts if n)


class ShowProposal(RoomListView):
    """The latest proposal, line by line, with what it gains and what it cannot meet."""

    permission = SEE
    title = "Proposal for all jobs"
    template_name = "stock/allocation/proposal.html"
    table_class = ProposalLineTable
    filterset_class = ProposalLineFilter
    search_fields = (
        "requirement__job__reference", "requirement__job__title", "requirement__item__name",
        "lot__code", "lot__run",
    )  # fmt: skip
    search_hint = "Job, item, lot or run"
    empty = "No lot would change. A proposal looks at all jobs together and moves nothing itself."

    def get_rows(self) -> Any:
        self.shown = queries.shown_proposal()
        rows = ProposalLine.objects.filter(proposal=self.shown) if self.shown else None
        rows = ProposalLine.objects.none() if rows is None else rows
        return rows.for_list().order_by("bundle", "requirement_id", "pk")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        shown = self.shown
        if shown is not None:
            exact = queries.exact_of(shown)
            kwargs |= {
                "proposal": shown, "exact": exact, "working": is_working(exact),
                "figures": figures(shown, self.request.user.has_perm("jobs.see_margin")),
                "bundles": (found := bundles_of(shown)), "any_left": any(b.left for b in found),
            }  # fmt: skip
        return super().get_context_data(ask_form=AskForm(), **kwargs)


def is_working(exact: Proposal | None) -> bool:
    """Return whether a worker still has to answer."""
    return exact is not None and exact.state in {ProposalState.DUE, ProposalState.WORKING}


def bundles_of(proposal: Proposal) -> list[Bundle]:
    """Return what may be taken over apart, with what that changes; one query."""
    found: dict[int, Bundle] = {}
    rows = proposal.lines.changing().values_list(
        "bundle", "requirement__job_id", "requirement__job__reference", "before", "after",
        "taken_at",
    )  # fmt: skip
    for number, job_id, reference, before, after, taken in rows.order_by("bundle", "pk"):
        bundle = found.setdefault(number, Bundle(number))
        bundle.jobs[job_id] = reference
        bundle.new += after > before
        bundle.given_up += after < before
        bundle.left += taken is None
    return list(found.values())


def figures(proposal: Proposal, sees_cost: bool) -> list[tuple[str, str, str]]:
    """Return what a proposal gains: label, what it would be, what it is now."""
    found = proposal.figures
    now, then = found["now"], found["then"]
    rows = [
        ("Packs not met", f"{then['unmet']:g}", f"now {now['unmet']:g}"),
        ("Surfaces split", f"{then['split']}", f"now {now['split']}"),
        ("Packs lost to their date", f"{then['lost']:g}", f"now {now['lost']:g}"),
    ]
    if sees_cost:
        pounds = [f"£{Decimal(part['loss_pence']) / 100:,.2f}" for part in (then, now)]
        rows.append(("Worth of what is lost", pounds[0], f"now {pounds[1]}"))
    rows.append(("Reservations moved", f"{found['moves']}", f"{found['fixed']} stay in any case"))
    return rows


class AskProposal(ServiceActionView):
    """Reckon job by job at once, and have a worker reckon all together."""

    permission = RESERVE

    def act(self) -> Proposal:
        form = AskForm(self.request.POST)
        if not form.is_valid():
            raise ServiceError("Look ahead one of the periods of the list.", field="days")
        return services.ask_proposal(
            days=form.cleaned_data["days"], by=self.request.user, at=self.request.now
        )

    def get_success_url(self) -> str:
        return reverse("allocation:proposal")


class ProposalProgress(RoomPage):
    """How far the worker is; the page asks again until it is done, by itself or by its button."""

    permission = SEE
    template_name = "stock/allocation/progress.html"
    found_name = "exact"

    def find(self) -> Proposal:
        return get_object_or_404(Proposal, uid=self.kwargs["uid"])

    def get_template_names(self) -> list[str]:
        if getattr(self.request, "htmx", False):
            return ["stock/allocation/progress_state.html"]
        return super().get_template_names()

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            title="Proposal for all jobs", working=is_working(self.found), arrived=True, **kwargs
        )


class TakeProposal(ServiceActionView):
    """Make the proposal, or one bundle of it, reservations."""

    permission = RESERVE
    success_message = "{made} reservations changed."

    def find(self) -> Proposal:
        return get_object_or_404(Proposal, uid=self.kwargs["uid"], state=ProposalState.READY)

    def act(self) -> int:
        form = TakeForm(self.request.POST)
        if not form.is_valid():
            raise ServiceError(TAKE_WHAT, field="bundle")
        return services.take_proposal(
            uid=self.found.uid, bundle=form.cleaned_data["bundle"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip

    def get_success_url(self) -> str:
        return reverse("allocation:proposal")
