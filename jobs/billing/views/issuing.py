"""Issuing a VAT invoice: for money that came in, or for a request before its money comes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.billing import services
from jobs.billing.enums import RequestKind
from jobs.billing.forms import IssueForm
from jobs.billing.models import Invoice, PaymentRequest, Receipt, StagePlan
from jobs.billing.queries import (
    asked_and_left,
    left_to_invoice,
    plan_of,
    plan_verdict,
    proposed_materials,
)
from jobs.billing.rules import (
    RateSum,
    SummedByRate,
    Verdict,
    may_be_simplified,
    split_received,
)
from jobs.billing.services import Choice
from jobs.billing.views.requests import RECORD
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.kernel.views import ConfirmView
from jobs.work.models import Job


@dataclass(frozen=True)
class Preview(SummedByRate):
    """What an invoice would say of its sums, one way or the other; `why` there are none."""

    reverse: bool
    rates: tuple[RateSum, ...]
    why: str = ""

    @property
    def value(self) -> str:
        return "yes" if self.reverse else "no"

    @property
    def words(self) -> str:
        if self.reverse:
            return "the customer: reverse charge, no VAT is charged"
        return "we: VAT is charged on the invoice"


class Issuing(ConfirmView):
    """Shows what the invoice will say, then issues it with one press."""

    permission = RECORD
    template_name = "jobs/billing/issue.html"
    form_class = IssueForm
    button = "Issue the VAT invoice"
    success_message = "{made} is issued; its PDF is being drawn."
    before_money = False

    @property
    def job(self) -> Job:
        raise NotImplementedError

    @property
    def amount(self) -> Decimal:
        raise NotImplementedError

    def get_back_url(self) -> str:
        return reverse("billing:job", args=[self.job.pk])

    @property
    def states_cis(self) -> bool:
        """Whether the invoice says what is kept back under CIS."""
        return True

    @property
    def asked_for(self) -> PaymentRequest:
        raise NotImplementedError

    def verdict(self, plan: StagePlan) -> Verdict | None:
        """Return what the conditions say at the time of supply, where it is not what was agreed."""
        found = plan_verdict(self.job.customer, left_to_invoice(plan), self.supply_on())
        return found if found is not None and found.applies != plan.reverse_charge else None

    def supply_on(self) -> date:
        """Return the time of supply: the day typed, or today."""
        return london_day(self.request.now)

    def preview(self, *, reverse_charge: bool) -> Preview:
        """Return the sums that the invoice would have, or why there are none; nothing is written.

        The reverse charge may be that of the plan or the other way.
        """
        plan = plan_of(self.job)
        if self.asked_for.kind == RequestKind.EXTRA:
            return Preview(reverse_charge, (), "Its invoice outside the plan was credited.")
        if plan is None:
            return Preview(reverse_charge, (), "The job has no payment plan yet: write it first.")
        try:
            asked, left = asked_and_left(plan, self.asked_for, reverse_charge=reverse_charge)
            amount = asked if self.before_money else self.amount
            rates = split_received(amount, left, reverse_charge=reverse_charge)
        except ServiceError as refusal:
            return Preview(reverse_charge, (), refusal.message)
        return Preview(reverse_charge, rates)

    def previews(self) -> list[Preview]:
        """Return the plan's way, and the other one first where the conditions say it."""
        plan = plan_of(self.job)
        reverse = bool(plan and plan.reverse_charge)
        ways = [not reverse, reverse] if plan and self.verdict(plan) else [reverse]
        return [self.preview(reverse_charge=way) for way in ways]

    def get_form_kwargs(self) -> dict[str, Any]:
        customer = self.job.customer
        ways = self.previews()
        short = all(may_be_simplified(way.gross, reverse_charge=way.reverse) for way in ways)
        kwargs = super().get_form_kwargs() | {
            "before_money": self.before_money,
            "cis": customer.reports_under_cis and not customer.is_consumer and self.states_cis,
            "short": short,
            "decide": [(way.value, way.words) for way in ways] if len(ways) > 1 else (),
        }
        kwargs["initial"] = kwargs["initial"] | {
            "supply_on": london_day(self.request.now),
            "materials": proposed_materials(self.job, ways[0].net),
        }
        return kwargs

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        ways, plan = self.previews(), plan_of(self.job)
        return super().get_context_data(
            job=self.job, ways=ways, why_not="" if any(way.rates for way in ways) else ways[0].why,
            differs=self.verdict(plan) if plan else None, plan=plan, **kwargs,
        )  # fmt: skip

    @staticmethod
    def choice(form: Any) -> Choice:
        """Return what was decided on the page."""
        values = form.cleaned_data
        if "reverse" not in values:
            return Choice()
        return Choice(values["reverse"] == "yes", values["reverse_reason"])


class IssueForReceipt(Issuing):
    """The VAT invoice that follows the money."""

    @property
    def states_cis(self) -> bool:
        return bool(self.found.cis_deducted)

    def find(self) -> Receipt:
        rows = Receipt.objects.select_related("request__job__customer", "request__job__site")
        return get_object_or_404(rows, pk=self.kwargs["pk"])

    @property
    def job(self) -> Job:
        found: Job = self.found.request.job
        return found

    @property
    def amount(self) -> Decimal:
        found: Decimal = self.found.amount + self.found.cis_deducted
        return found

    def get_title(self) -> str:
        return f"Issue the VAT invoice for the money of {self.found.request.reference}?"

    @property
    def asked_for(self) -> PaymentRequest:
        found: PaymentRequest = self.found.request
        return found

    def supply_on(self) -> date:
        found: date = self.found.received_on
        return found

    def act(self, form: Any) -> Invoice:
        return services.issue_for_receipt(
            receipt_id=self.found.pk, simplified=form.cleaned_data.get("simplified", False),
            materials=form.cleaned_data.get("materials") or ZERO, choice=self.choice(form),
            key=form.cleaned_data["uid"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip


class IssueForRequest(Issuing):
    """The VAT invoice before the money, as businesses often ask for it."""

    before_money = True

    def find(self) -> PaymentRequest:
        rows = PaymentRequest.objects.select_related("job__customer", "job__site")
        return get_object_or_404(rows, pk=self.kwargs["pk"])

    @property
    def job(self) -> Job:
        found: Job = self.found.job
        return found

    @property
    def amount(self) -> Decimal:
        found: Decimal = self.found.amount
        return found

    def get_title(self) -> str:
        return f"Issue the VAT invoice for {self.found.reference} before its money comes?"

    @property
    def asked_for(self) -> PaymentRequest:
        found: PaymentRequest = self.found
        return found

    def act(self, form: Any) -> Invoice:
        values = form.cleaned_data
        return services.issue_for_request(
            request_id=self.found.pk, supply_on=values["supply_on"],
            materials=values.get("materials") or ZERO, simplified=values.get("simplified", False),
            choice=self.choice(form), key=values["uid"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip
