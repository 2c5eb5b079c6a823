"""Places at the ends of movements, and what the ledger knows of a lot and of a job."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import Q, Sum

from jobs.kernel.money import ZERO
from jobs.kernel.posting import KeyUsedError, digest_of
from jobs.work.models import Job
from stock.catalogue.enums import PlaceKind
from stock.catalogue.models import Place
from stock.ledger.enums import PostingKind
from stock.ledger.models import Balance, KeptBack, Lot, Movement, Posting
from stock.ledger.rules import JobShare, LotCost

# What the code on a place's label says; a scanner types all of it.
PLACE_LABEL = re.compile(r"/labels/p/(\d{1,18})/?\Z")
END_NAMES = {
    PlaceKind.SUPPLIER.value: "Suppliers",
    PlaceKind.WASTE.value: "Waste",
    PlaceKind.LAID.value: "Laid",
    PlaceKind.ADJUSTMENT.value: "Count differences",
}


def place(kind: str, job: Any = None) -> Place:
    """Return the place at the end of a movement, made where it is missing.

    `kind` is supplier, waste, laid or adjustment; or site, and then `job` says whose.
    """
    if kind == PlaceKind.SITE:
        if job is None:
            raise ValueError("A site is a job's.")
        found, _ = Place.objects.get_or_create(
            job=job, defaults={"kind": kind, "name": job.reference}
        )
        return found
    found, _ = Place.objects.get_or_create(kind=kind, name=END_NAMES[kind])
    return found


def find_posting(*, key: UUID, kind: str, inputs: Mapping[str, object]) -> Posting | None:
    """Return the posting that was made with this key, or None.

    Raises KeyUsedError where the key stands for a write of another kind or with other inputs.
    """
    found = Posting.objects.filter(key=key).first()
    if found is not None and (found.kind != kind or found.digest != digest_of(inputs)):
        raise KeyUsedError(
            "This page was sent before with other figures. Open it again and check what was booked."
        )
    return found


def lot_costs(lots: Sequence[Lot]) -> dict[int, LotCost]:
    """Return each lot's running cost: what jobs and split-off lots took of it; two queries."""
    posted: dict[int, Decimal] = defaultdict(lambda: ZERO)
    ids = [lot.pk for lot in lots]
    sums = (
        Movement.objects.filter(lot_id__in=ids, cost__isnull=False)
        .order_by()
        .values("lot_id")
        .annotate(
            issued=Sum("cost", filter=Q(posting__kind=PostingKind.ISSUE)),
            returned=Sum("cost", filter=Q(posting__kind=PostingKind.RETURN)),
        )
    )
    for row in sums:
        posted[row["lot_id"]] += (row["issued"] or ZERO) - (row["returned"] or ZERO)
    parts = (
        Lot.objects.filter(parent_id__in=ids)
        .order_by()
        .values("parent_id")
        .annotate(taken=Sum("cost"))
    )
    for part in parts:
        posted[part["parent_id"]] += part["taken"] or ZERO
    return {lot.pk: LotCost(lot.cost, lot.received, lot.costed, posted[lot.pk]) for lot in lots}


def job_shares(*, job_id: int, lot_ids: Collection[int]) -> dict[int, JobShare]:
    """Return what a job drew from each lot, less what it brought back, with its cost."""
    sums = (
        Movement.objects.filter(
            lot_id__in=lot_ids,
            posting__job_id=job_id,
            posting__kind__in=[PostingKind.ISSUE, PostingKind.RETURN],
        )
        .order_by()
        .values("lot_id", "posting__kind")
        .annotate(units=Sum("quantity"), amount=Sum("cost"))
    )
    shares: dict[int, JobShare] = defaultdict(JobShare)
    for row in sums:
        sign = 1 if row["posting__kind"] == PostingKind.ISSUE else -1
        share = shares[row["lot_id"]]
        share.quantity += sign * row["units"]
        share.cost += sign * (row["amount"] or ZERO)
    return shares


@dataclass(frozen=True)
class AtSite:
    """What lies at a job's site of one lot."""

    lot: Lot
    place: Place
    quantity: int


def at_site(job_id: int) -> list[AtSite]:
    """Return what lies at a job's site, by item and lot."""
    balances = (
        Balance.objects.filter(place__job_id=job_id, quantity__gt=0)
        .select_related("lot__item", "place")
        .order_by("lot__item__kind", "lot__item__name", "lot_id")
    )
    return [AtSite(row.lot, row.place, row.quantity) for row in balances]


@dataclass(frozen=True)
class WentTo:
    """What one job drew from a lot, and what of it was laid."""

    job: Any
    drawn: int
    laid: int


def jobs_of(lot: Lot) -> list[WentTo]:
    """Return the jobs a lot went to, the latest first; two queries."""
    sums = (
        Movement.objects.filter(lot=lot, posting__job__isnull=False)
        .order_by()
        .values("posting__job_id")
        .annotate(
            issued=Sum("quantity", filter=Q(posting__kind=PostingKind.ISSUE)),
            returned=Sum("quantity", filter=Q(posting__kind=PostingKind.RETURN)),
            laid=Sum("quantity", filter=Q(to_place__kind=PlaceKind.LAID)),
            unlaid=Sum("quantity", filter=Q(from_place__kind=PlaceKind.LAID)),
        )
    )
    by_job = {row["posting__job_id"]: row for row in sums}
    return [
        WentTo(
            job,
            (by_job[job.pk]["issued"] or 0) - (by_job[job.pk]["returned"] or 0),
            (by_job[job.pk]["laid"] or 0) - (by_job[job.pk]["unlaid"] or 0),
        )
        for job in Job.objects.filter(pk__in=by_job).order_by("-opened_at", "-pk")
    ]


def kept_back(lot_ids: Collection[int]) -> dict[int, int]:
    """Return what of each lot is kept back for call-backs, in base units; lots without are out.

    It is part of `Lot.reserved` and is nobody's reservation; one query.
    """
    rows = KeptBack.objects.open().filter(lot_id__in=lot_ids).order_by()
    return dict(rows.values_list("lot_id").annotate(Sum("quantity")))


def find_lot(code: str) -> Lot | None:
    """Return the lot that a scanned or typed code names: its code, its uid, or a link to it."""
    text = code.strip().rstrip("/").rsplit("/", 1)[-1]
    found = Lot.objects.filter(code__iexact=text).first()
    if found is None:
        try:
            found = Lot.objects.filter(uid=UUID(text)).first()
        except ValueError:
            return None
    return found
