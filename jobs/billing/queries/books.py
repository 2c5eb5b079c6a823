"""The books re-added from their rows: every figure that is kept must be found again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from hashlib import sha256

from django.db.models import F, Sum

from jobs.attachments.queries import path_of
from jobs.billing.models import Invoice, InvoicePaper, PaymentRequest, Receipt, StagePlan
from jobs.billing.queries.invoices import sheet_of, standing_of
from jobs.billing.queries.plans import left_to_invoice
from jobs.billing.rules import disagreements
from jobs.costing.models import CostEntry
from jobs.kernel.models import NumberSeries
from jobs.kernel.money import PENNY, ZERO, round_vat

SERIES = ("INV", "CN", "R")


@dataclass(frozen=True)
class Difference:
    """One thing that does not agree: what it is, what the book says, what was found."""

    what: str
    kept: str
    found: str


@dataclass(frozen=True)
class Books:
    """How much was re-added and what differs."""

    requests: int
    receipts: int
    invoices: int
    cost_entries: int
    differences: tuple[Difference, ...]

    @property
    def ok(self) -> bool:
        return not self.differences


def audit_books() -> Books:
    """Re-add receipts, invoices, credit notes, number series and the reversals of costs."""
    differences = [
        *_receipts(), *_reversals(), *_invoices(), *_credits(), *_plans(), *_series(), *_papers(),
        *_costs(),
    ]  # fmt: skip
    return Books(
        PaymentRequest.objects.count(), Receipt.objects.count(), Invoice.objects.count(),
        CostEntry.objects.count(), tuple(differences),
    )  # fmt: skip


def _receipts() -> Iterator[Difference]:
    rows = PaymentRequest.objects.order_by("pk").annotate(
        money=Sum("receipts__amount"), kept_back=Sum("receipts__cis_deducted")
    )
    for row in rows:
        found = (row.money or ZERO) + (row.kept_back or ZERO)
        if found != row.received:
            yield Difference(f"{row.reference}: received", f"{row.received:.2f}", f"{found:.2f}")


def _reversals() -> Iterator[Difference]:
    rows = Receipt.objects.exclude(reverses=None).select_related("reverses", "request")
    for row in rows:
        first = row.reverses
        if first is not None and (
            row.amount != -first.amount
            or row.cis_deducted != -first.cis_deducted
            or row.request_id != first.request_id
        ):
            yield Difference(
                f"{row.request.reference}: receipt taken back",
                f"{first.amount:.2f}", f"{row.amount:.2f}",
            )  # fmt: skip


def _invoices() -> Iterator[Difference]:
    rows = Invoice.objects.select_related("credits").prefetch_related("lines", "rates")
    documents: dict[int, int] = {}
    for row in rows:
        documents[row.job_id] = documents.get(row.job_id, 0) + 1
        sheet = sheet_of(row)
        for sentence in disagreements(sheet):
            yield Difference(row.number, f"{row.net:.2f} + {row.vat:.2f}", sentence)
        # The last of several documents takes the remainder: a penny for each of them at most.
        # One outside the plan has its VAT on its own total and no remainder.
        most = PENNY * (0 if row.outside_plan and not row.is_credit else documents[row.job_id])
        for each in sheet.rates:
            wanted = ZERO if row.reverse_charge else round_vat(each.net, each.rate)
            if abs(each.vat - wanted) > most:
                yield Difference(
                    f"{row.number}: VAT at {each.rate.normalize():f} %",
                    f"{each.vat:.2f}", f"{wanted:.2f}",
                )  # fmt: skip
        if row.reverse_charge:
            due = sum((round_vat(each.net, each.rate) for each in sheet.rates), ZERO)
            if row.reverse_vat != due:
                yield Difference(
                    f"{row.number}: VAT by reverse charge", f"{row.reverse_vat:.2f}", f"{due:.2f}"
                )


def _credits() -> Iterator[Difference]:
    for row in Invoice.objects.filter(credit_notes__isnull=False).distinct().order_by("pk"):
        for rate, stands in standing_of(row).items():
            if stands.net < 0 or stands.vat < 0:
                yield Difference(
                    f"{row.number}: credited at {rate.normalize():f} %",
                    "no more than was invoiced", f"{stands.gross:.2f} stands",
                )  # fmt: skip


def _plans() -> Iterator[Difference]:
    for plan in StagePlan.objects.select_related("job").order_by("pk"):
        for rate, left in left_to_invoice(plan).items():
            if left.net < 0 and plan.job.invoices.filter(outside_plan=False).exists():
                yield Difference(
                    f"{plan.job.reference}: invoiced at {rate.normalize():f} %",
                    "no more than was agreed", f"{-left.net:.2f} more before VAT",
                )  # fmt: skip


def _series() -> Iterator[Difference]:
    given = {
        "INV": Invoice.objects.filter(credits=None).values_list("number", flat=True),
        "CN": Invoice.objects.exclude(credits=None).values_list("number", flat=True),
        "R": PaymentRequest.objects.values_list("reference", flat=True),
    }
    last = {row.name: row.last for row in NumberSeries.objects.all()}
    for prefix in SERIES:
        found: dict[str, set[str]] = {}
        for number in given[prefix]:
            found.setdefault(number.rpartition("-")[0], set()).add(number)
        names = {*found, *(name for name in last if name.startswith(f"{prefix}-"))}
        for name in sorted(names):
            have = found.get(name, set())
            wanted = {f"{name}-{n:04d}" for n in range(1, last.get(name, 0) + 1)}
            if missing := sorted(wanted - have):
                yield Difference(f"series {name}: missing", str(len(wanted)), ", ".join(missing))
            if beyond := sorted(have - wanted):
                yield Difference(f"series {name}: not given", str(len(wanted)), ", ".join(beyond))


def _papers() -> Iterator[Difference]:
    for paper in InvoicePaper.objects.exclude(digest="").select_related("invoice"):
        path = path_of(paper.digest)
        found = sha256(path.read_bytes()).hexdigest() if path.is_file() else "no file"
        if found != paper.digest:
            yield Difference(f"{paper.invoice.number}: PDF", paper.digest, found)


def _costs() -> Iterator[Difference]:
    wrong = (
        CostEntry.objects.exclude(reverses=None)
        .exclude(
            amount=-1 * F("reverses__amount"),
            job=F("reverses__job"), kind=F("reverses__kind"), category=F("reverses__category"),
        )
        .select_related("reverses", "job")
    )  # fmt: skip
    for row in wrong:
        first = row.reverses
        kept: Decimal = first.amount if first is not None else ZERO
        yield Difference(
            f"{row.job.reference}: cost '{row.what}' taken back", f"{kept:.2f}", f"{row.amount:.2f}"
        )
