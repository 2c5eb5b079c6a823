"""What a scanned code names, and which page does with it what was asked."""

from __future__ import annotations

from django.urls import reverse

from jobs.work.enums import Stage
from jobs.work.models import Job
from stock.catalogue.models import Place
from stock.ledger.models import Balance, Lot
from stock.ledger.queries import PLACE_LABEL, find_lot
from stock.ledger.rules import COUNTED
from stock.movements.enums import Flow

LOT_PAGES = {Flow.OPEN: "ledger:detail", Flow.MOVE: "movements:transfer",
             Flow.WASTE: "movements:waste"}  # fmt: skip
JOB_PAGES = {Flow.OPEN: "work:detail", Flow.ISSUE: "movements:issue",
             Flow.RETURN: "movements:return"}  # fmt: skip


def where_to(code: str, flow: str) -> tuple[str, str]:
    """Return (address, '') of the page that does it, or ('', why it cannot be done).

    `code` is a lot's code or address, the address on a place's label, or a job's reference.
    """
    code = code.replace("\x00", "").strip()[:200]
    if not code:
        return "", "Scan or type a code first."
    lot = find_lot(code)
    if lot is not None:
        return for_lot(lot, flow)
    place = find_place(code)
    if place is not None:
        if flow in {Flow.OPEN, Flow.COUNT}:
            return reverse("movements:count", args=[place.pk]), ""
        return "", f"{place} is a place; scan a lot to {Flow(flow).label.lower()} it."
    job = Job.objects.filter(reference__iexact=code).first()
    if job is not None:
        return for_job(job, flow)
    return "", f"Nothing in the book has the code '{code[:60]}'."


def find_place(code: str) -> Place | None:
    """Return the bay, van or site whose label or name this is."""
    rows = Place.objects.filter(kind__in=COUNTED, archived_at=None)
    label = PLACE_LABEL.search(code)
    if label is not None:
        return rows.filter(pk=int(label[1])).first()
    return rows.filter(kind__in=("bay", "van"), name__iexact=code).first()


def for_lot(lot: Lot, flow: str) -> tuple[str, str]:
    """Return the page for a lot; counting counts the one place where it lies."""
    if flow == Flow.COUNT:
        spots = list(Balance.objects.filter(lot=lot, quantity__gt=0).select_related("place")[:2])
        if len(spots) == 1:
            return reverse("movements:count", args=[spots[0].place_id]), ""
        where = "nowhere any more" if not spots else "in several places"
        return "", f"{lot} lies {where}; scan the place's label to count it."
    if flow in LOT_PAGES:
        return reverse(LOT_PAGES[Flow(flow)], args=[lot.pk]), ""
    return "", f"{lot} is a lot; type the job's reference to {Flow(flow).label.lower()}."


def for_job(job: Job, flow: str) -> tuple[str, str]:
    """Return the page for a job; only a won one has stock."""
    if flow not in JOB_PAGES:
        return "", f"{job.reference} is a job; scan a lot or a place."
    if flow != Flow.OPEN and job.stage not in Stage.AFTER_WON:
        return "", f"{job.reference} is not won; nothing is issued to it."
    return reverse(JOB_PAGES[Flow(flow)], args=[job.pk]), ""
