"""All that a job's money page shows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Q

from jobs.billing.enums import RequestKind
from jobs.billing.models import Invoice, PaymentRequest, PlanChange, Receipt, StagePlan
from jobs.billing.queries.plans import (
    StageRow,
    agreed,
    invoiced,
    material_cost,
    reverse_verdict,
    stage_rows,
)
from jobs.billing.queries.states import receipts_to_invoice
from jobs.billing.rules import Excluded, RateSum, Verdict, deduct, invoices_less
from jobs.kernel.money import ZERO
from jobs.work.models import Job


@dataclass(frozen=True)
class RateRow:
    """One rate: agreed, invoiced, left to invoice."""

    rate: Decimal
    agreed: RateSum
    invoiced: RateSum
    left: RateSum


@dataclass(frozen=True)
class KeptBack:
    """What a customer keeps back under CIS of one request: what we reckoned, what he says.

    `reckoned` None: nothing is invoiced yet. `whole`: all that was said is on an invoice.
    """

    request: PaymentRequest
    reckoned: Decimal | None
    said: Decimal
    invoice: Any = None
    whole: bool = True

    @property
    def difference(self) -> Decimal | None:
        """What he kept back beyond what we reckoned; None while nothing came in."""
        if self.reckoned is None or not self.request.received or not self.whole:
            return None
        return self.said - self.reckoned


def reckoned_of(invoice: Invoice) -> Decimal:
    """Return the deduction that we reckon on an invoice from the materials that it states."""
    kept: Decimal = invoice.cis_deduction
    if invoice.receipt_id is None or invoice.cis_percent is None:
        return kept
    return deduct(
        gross=invoice.gross, vat=invoice.vat, excluded=Excluded(materials=invoice.cis_materials),
        percent=invoice.cis_percent,
    ).tax  # fmt: skip


def _kept_back(
    request: PaymentRequest, receipts: Sequence[Receipt], stated: Sequence[Invoice]
) -> KeptBack | None:
    said = sum((row.cis_deducted for row in receipts), ZERO)
    if not said and not stated:
        return None
    after = [row for row in stated if row.receipt_id is not None]
    return KeptBack(
        request, sum((reckoned_of(row) for row in stated), ZERO) if stated else None, said,
        stated[0] if stated else None,
        whole=not after or sum((row.cis_deduction for row in after), ZERO) == said,
    )  # fmt: skip


@dataclass(frozen=True)
class JobMoney:
    """The money of one job: what was agreed, asked for, received, invoiced, and what is left."""

    job: Job
    plan: StagePlan | None
    stages: Sequence[StageRow]
    rates: Sequence[RateRow]
    requests: Sequence[PaymentRequest]
    receipts: Sequence[Receipt]
    to_invoice: Sequence[Receipt]
    invoices: Sequence[Any]
    changes: Sequence[PlanChange]
    materials: Decimal
    verdict: Verdict

    @property
    def agreed(self) -> Decimal:
        return sum((row.gross for row in self.stages), ZERO)

    @property
    def asked(self) -> Decimal:
        return sum((row.amount for row in self.of_plan if row.withdrawn_at is None), ZERO)

    @property
    def of_plan(self) -> list[PaymentRequest]:
        """The requests of the plan; those of invoices outside it are apart."""
        return [row for row in self.requests if row.kind != RequestKind.EXTRA]

    @property
    def outside(self) -> list[Any]:
        """The invoices and credit notes outside the plan."""
        return [row for row in self.invoices if row.outside_plan]

    @property
    def outside_invoiced(self) -> Decimal:
        return sum((row.gross for row in self.outside), ZERO)

    @property
    def outside_open(self) -> Decimal:
        return sum((row.open_amount for row in self.outside), ZERO)

    @property
    def cis(self) -> list[KeptBack]:
        """What is kept back under CIS, request by request; those without any are left out."""
        found = []
        for request in self.requests:
            receipts = [row for row in self.receipts if row.request_id == request.pk]
            money = {row.pk for row in receipts}
            stated = [
                row for row in self.invoices
                if (row.request_id == request.pk or row.receipt_id in money)
                and row.gross + row.credited > 0 and row.cis_percent is not None
            ]  # fmt: skip
            found.append(_kept_back(request, receipts, stated))
        return [row for row in found if row is not None]

    @property
    def to_ask(self) -> Decimal:
        return self.agreed - self.asked

    @property
    def received(self) -> Decimal:
        return sum((row.received for row in self.of_plan), ZERO)

    @property
    def invoiced(self) -> Decimal:
        return sum((row.invoiced.gross for row in self.rates), ZERO)

    @property
    def to_invoice_amount(self) -> Decimal:
        return sum((row.left.gross for row in self.rates), ZERO)

    @property
    def kept_back(self) -> Decimal:
        return sum((row.cis_deducted for row in self.receipts), ZERO)

    @property
    def deposit(self) -> PaymentRequest | None:
        standing = [row for row in self.requests if row.withdrawn_at is None]
        return next((row for row in standing if row.kind == RequestKind.DEPOSIT), None)

    @property
    def needs_evidence(self) -> bool:
        """Whether another rate than the standard one was agreed and is not shown yet."""
        other = any(row.rate < 20 and row.agreed.net for row in self.rates)
        plan = self.plan
        return bool(other and plan and not (plan.vat_reason and plan.vat_document))


def kept_back_of(request: PaymentRequest) -> KeptBack | None:
    """Return what is kept back of one request under CIS; None where there is nothing of it."""
    rows = Invoice.objects.all().standing().filter(cis_percent__isnull=False)
    rows = rows.filter(Q(request=request) | Q(receipt__request=request)).order_by("pk")
    return _kept_back(request, list(request.receipts.all()), list(rows))


def money_of(job: Job, on: date) -> JobMoney:
    """Return the money of a job; a fixed number of queries whatever it has."""
    plan = StagePlan.objects.filter(job=job).first()
    whole = agreed(plan) if plan else {}
    done = invoiced(job.pk)
    left = invoices_less(whole, done)
    receipts = list(
        Receipt.objects.filter(request__job=job).select_related("request", "by", "reversed_by")
    )
    return JobMoney(
        job=job,
        plan=plan,
        stages=stage_rows(plan) if plan else [],
        rates=[
            RateRow(
                rate,
                whole.get(rate, RateSum(rate, ZERO, ZERO)),
                done.get(rate, RateSum(rate, ZERO, ZERO)),
                left[rate],
            )
            for rate in sorted(left, reverse=True)
        ],
        requests=list(PaymentRequest.objects.filter(job=job)),
        receipts=receipts,
        to_invoice=list(receipts_to_invoice().filter(request__job=job)),
        invoices=list(Invoice.objects.filter(job=job).for_list()),
        changes=list(plan.changes.all()) if plan else [],
        materials=material_cost(job.pk),
        verdict=reverse_verdict(job.customer, Decimal(20), on),
    )
