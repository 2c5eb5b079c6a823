"""Named reads of requirements and reservations."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.db.models import F, QuerySet, Sum
from django.db.models.functions import Coalesce

from jobs.work.enums import Stage

if TYPE_CHECKING:
    from stock.allocation.models import ProposalLine, Requirement, Reservation  # noqa: F401

# Stages in which a job still wants its material.
WANTING = (Stage.WON, Stage.BOOKED, Stage.ON_SITE, Stage.SNAGGING)


class RequirementQuerySet(QuerySet["Requirement"]):
    """Reads of requirements."""

    def with_reserved(self) -> RequirementQuerySet:
        """Add `reserved`, the sum of its reservations, and `short`, what is still to be found."""
        return self.annotate(
            reserved=Coalesce(Sum("reservations__quantity"), 0),
        ).annotate(short=F("quantity") - F("issued") - F("reserved"))

    def still_wanted(self) -> RequirementQuerySet:
        """Keep requirements that are not closed, of jobs that are won and not yet finished."""
        return self.filter(closed_at=None, job__stage__in=WANTING)

    def for_needs(self) -> RequirementQuerySet:
        """Return requirements as lists show them: with item, job and what is reserved."""
        return self.with_reserved().select_related("item", "job")


class ReservationQuerySet(QuerySet["Reservation"]):
    """Reads of reservations."""

    def of_job(self, job_id: int) -> ReservationQuerySet:
        """Keep a job's reservations, with what a page shows of each."""
        return self.filter(requirement__job_id=job_id).for_list()

    def of_lot(self, lot: Any) -> ReservationQuerySet:
        """Keep a lot's reservations, with what a page shows of each."""
        return self.filter(lot=lot).for_list()

    def for_list(self) -> ReservationQuerySet:
        """Return reservations with their lot, item and job."""
        return self.select_related("lot__item", "requirement__item", "requirement__job")


class ProposalLineQuerySet(QuerySet["ProposalLine"]):
    """Reads of a proposal's lines."""

    def changing(self) -> ProposalLineQuerySet:
        """Keep lines that would change a reservation."""
        return self.exclude(before=F("after"))

    def for_list(self) -> ProposalLineQuerySet:
        """Return lines with their lot, item and job, those that move first."""
        return self.select_related("lot__item", "requirement__item", "requirement__job")
