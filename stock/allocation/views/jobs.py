"""What jobs need, and reserving for one of them."""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.views import RoomPage, ServiceActionView
from jobs.work.enums import Stage
from jobs.work.models import Job
from stock.allocation import queries, services
from stock.allocation.filters import RequirementFilter
from stock.allocation.models import Requirement, Reservation
from stock.allocation.tables import RequirementTable
from stock.allocation.views.common import RESERVE, SEE
from stock.ledger.models import Lot
from stock.ledger.rules import pack_words


class Needs(RoomListView):
    permission = SEE
    title = "What jobs need"
    table_class = RequirementTable
    filterset_class = RequirementFilter
    actions = (Action("All jobs together", "allocation:proposal", solid=False),)
    search_fields = ("job__reference", "job__title", "item__name", "item__code", "colour_group")
    search_hint = "Job, item or colour group"
    empty = "No won job needs anything. Accepting a quote brings its needs here."

    def get_rows(self) -> Any:
        return (
            Requirement.objects.still_wanted()
            .for_needs()
            .order_by("job_id", "phase", "item__name", "pk")
        )


class OneJob:
    """Finds a job that was won: before that nothing is kept for it."""

    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "job"

    def find(self) -> Job:
        job: Job = get_object_or_404(Job, pk=self.kwargs["pk"])
        if job.stage not in Stage.AFTER_WON:
            raise Http404
        return job


class JobNeeds(OneJob, RoomPage):
    """A job's needs, its lots, and what reserving would do, with every why."""

    permission = SEE
    template_name = "stock/allocation/job.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        job: Job = self.found
        needs = queries.job_needs(job.pk)
        by_pk = {need.requirement.pk: need for need in needs}
        plan = queries.job_plan(queries.open_needs([job.pk]), london_day(self.request.now))
        lots = Lot.objects.in_bulk({pick.lot_id for pick in plan.picks})
        return super().get_context_data(
            title=f"Material for {job.reference}",
            lines=[
                (
                    need, words(need, need.quantity), words(need, need.issued),
                    words(need, need.reserved), words(need, need.short) if need.short else "",
                )
                for need in needs
            ],
            kept=[
                (row, words(by_pk[row.requirement_id], row.quantity))
                for row in queries.reservations_of(job.pk)
            ],
            picks=[
                (lots[pick.lot_id], words(by_pk[pick.need_id], pick.quantity), pick.why)
                for pick in plan.picks
            ],
            unmet=plan.unmet,
            lay_day=queries.lay_day_of(job.pk),
            **kwargs,
        )  # fmt: skip


def words(need: queries.OpenNeed, quantity: int) -> str:
    """Write a quantity of a need in its item's packs."""
    return pack_words(quantity, need.item.pack_quantity, need.item.pack_name)


class ReserveJob(OneJob, ServiceActionView):
    permission = RESERVE

    def act(self) -> services.AllocationResult:
        result = services.reserve_job(
            job_id=self.found.pk, by=self.request.user, at=self.request.now
        )
        if result.is_met:
            said = "All that the job needs is reserved." if result.made else "Nothing was short."
            messages.success(self.request, said)
        else:
            messages.warning(self.request, " ".join(row.sentence for row in result.unmet))
        return result

    def get_success_url(self) -> str:
        return reverse("allocation:job", args=[self.found.pk])


class OneReservation:
    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "reservation"

    def find(self) -> Reservation:
        return get_object_or_404(
            Reservation.objects.select_related("requirement", "lot"), pk=self.kwargs["pk"]
        )

    def get_success_url(self) -> str:
        found: Any = self.found  # type: ignore[attr-defined]
        return reverse("allocation:job", args=[found.requirement.job_id])


class ReleaseReservation(OneReservation, ServiceActionView):
    permission = RESERVE
    success_message = "Given back to the yard."

    def act(self) -> Any:
        return services.release_reservation(
            reservation_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class PinReservation(OneReservation, ServiceActionView):
    """Turns the pin over: a pinned reservation does not move by itself."""

    permission = RESERVE

    def act(self) -> Reservation:
        pinned = self.request.POST.get("pinned") == "yes"
        return services.pin_reservation(
            reservation_id=self.found.pk, pinned=pinned, by=self.request.user, at=self.request.now
        )
