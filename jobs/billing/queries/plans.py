"""What was agreed, what was invoiced, and what is left of it, by rate."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.conf import settings
from django.db.models import Q

from jobs.billing.models import IssuedRate, PaymentRequest, PlanShare, PlanStage, StagePlan
from jobs.billing.rules import (
    RateSum,
    Supply,
    Verdict,
    asked_under,
    decide,
    invoices_less,
    left_under,
    split_received,
    sums_by_rate,
)
from jobs.costing.enums import Category, EntryKind
from jobs.costing.models import CostEntry
from jobs.customers.models import Customer
from jobs.kernel.money import ZERO
from jobs.work.models import Job

MATERIAL_COST = (Category.MATERIALS, Category.PLANT)


def plan_of(job: Job) -> StagePlan | None:
    """Return the payment plan of a job, None where none was written."""
    return StagePlan.objects.filter(job=job).first()


def agreed(plan: StagePlan) -> dict[Decimal, RateSum]:
    """Return what the stages of a plan come to by rate."""
    rows = PlanShare.objects.filter(stage__plan=plan).values_list("rate", "net", "vat")
    return sums_by_rate([RateSum(*row) for row in rows])


def invoiced(job_id: int) -> dict[Decimal, RateSum]:
    """Return what a job's invoices of its plan, less their credit notes, come to by rate."""
    rows = IssuedRate.objects.filter(
        invoice__job_id=job_id, invoice__outside_plan=False
    ).values_list("rate", "net", "vat")
    return sums_by_rate([RateSum(*row) for row in rows])


def left_to_invoice(plan: StagePlan) -> dict[Decimal, RateSum]:
    """Return what was agreed less what was invoiced, by rate."""
    return invoices_less(agreed(plan), invoiced(plan.job_id))


def reverse_verdict(customer: Customer, rate: Decimal, supply_on: date) -> Verdict:
    """Return whether work for this customer falls under the reverse charge, with the reasons."""
    return decide(
        Supply(
            supplier_registered=bool(settings.FIRM_VAT_NUMBER),
            customer_registered=bool(customer.vat_number),
            consumer=customer.is_consumer,
            reported_under_cis=customer.reports_under_cis,
            rate=rate,
            employment_business=False,  # we lay surfacing; we supply no staff
            end_user_confirmed=customer.end_user_confirmed,
            supply_on=supply_on,
        )
    )


def plan_verdict(
    customer: Customer, left: Mapping[Decimal, RateSum], supply_on: date
) -> Verdict | None:
    """Return whether what is left of a plan falls under the reverse charge at a tax point.

    None where nothing is left at a rate of VAT, so that there is nothing to decide.
    """
    rates = sorted((rate for rate, row in left.items() if rate and row.net > 0), reverse=True)
    return reverse_verdict(customer, rates[0], supply_on) if rates else None


def asked_and_left(
    plan: StagePlan, request: PaymentRequest, *, reverse_charge: bool
) -> tuple[Decimal, dict[Decimal, RateSum]]:
    """Return what a request asks for and what is left to invoice, were it decided like this.

    The nets stay; their VAT is that of the decision. What of the request is invoiced stays too.
    Refuses (ServiceError) a request for more than is left.
    """
    left = left_to_invoice(plan)
    if reverse_charge == plan.reverse_charge:
        return request.amount, left
    standing = IssuedRate.objects.filter(
        Q(invoice__receipt__request=request) | Q(invoice__request=request)
        | Q(invoice__credits__receipt__request=request) | Q(invoice__credits__request=request)
    )  # fmt: skip
    done = sum(standing.values_list("gross", flat=True), ZERO)
    whole = sum((max(row.gross, ZERO) for row in left.values()), ZERO)
    rows = split_received(
        min(request.amount - done, whole), left, reverse_charge=plan.reverse_charge
    )
    asked = done + asked_under(rows, reverse_charge=reverse_charge)
    return max(asked, request.received), left_under(left, reverse_charge=reverse_charge)


def material_cost(job_id: int) -> Decimal:
    """Return what materials and plant of a job have truly cost so far, without VAT."""
    rows = CostEntry.objects.filter(
        job_id=job_id, kind=EntryKind.ACTUAL, category__in=MATERIAL_COST
    ).values_list("amount", flat=True)
    return sum(rows, ZERO)


def proposed_materials(job: Job, net: Decimal) -> Decimal:
    """Return the materials to state on the next invoice: their cost less what was stated before.

    Never more than the invoice's net.
    """
    stated = sum(job.invoices.values_list("cis_materials", flat=True), ZERO)
    return min(max(material_cost(job.pk) - stated, ZERO), max(net, ZERO))


@dataclass(frozen=True)
class StageRow:
    """One stage as the money page shows it."""

    stage: PlanStage
    net: Decimal
    vat: Decimal
    request: PaymentRequest | None

    @property
    def gross(self) -> Decimal:
        return self.net + self.vat


def stage_rows(plan: StagePlan) -> list[StageRow]:
    """Return the stages of a plan with their sums and requests: two queries."""
    found = []
    for stage in plan.stages.select_related("request").prefetch_related("shares"):
        shares = list(stage.shares.all())
        found.append(
            StageRow(
                stage,
                sum((row.net for row in shares), ZERO),
                sum((row.vat for row in shares), ZERO),
                stage.request,
            )
        )
    return found
