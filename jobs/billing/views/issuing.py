"""Issuing a VAT invoice: for money that came in, or for a request before its money comes."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.billing import services
from jobs.billing.forms import IssueForm
from jobs.billing.models import Invoice, PaymentRequest, Receipt
from jobs.billing.queries import left_to_invoice, plan_of, proposed_materials, reverse_verdict
from jobs.billing.rules import RateSum, may_be_simplified, split_received
from jobs.billing.views.requests import RECORD
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.kernel.views import ConfirmView
from jobs.work.models import Job


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

    def preview(self) -> tuple[tuple[RateSum, ...], str, bool]:
        """Return the sums by rate, why there are none, and whether reverse charge applies."""
        plan = plan_of(self.job)
        if plan is None:
            return (), "The job has no payment plan yet: write down what was agreed first.", False
        reverse_charge = plan.reverse_charge
        try:
            rates = split_received(
                self.amount, left_to_invoice(plan), reverse_charge=reverse_charge
            )
        except ServiceError as refusal:
            return (), refusal.message, reverse_charge
        return rates, "", reverse_charge

    def get_form_kwargs(self) -> dict[str, Any]:
        customer = self.job.customer
        rates, _, reverse_charge = self.preview()
        gross = sum((row.gross for row in rates), ZERO)
        kwargs = super().get_form_kwargs() | {
            "before_money": self.before_money,
            "cis": customer.reports_under_cis and not customer.is_consumer,
            "short": may_be_simplified(gross, reverse_charge=reverse_charge),
        }
        net = sum((row.net for row in rates), ZERO)
        kwargs["initial"] = kwargs["initial"] | {
            "supply_on": london_day(self.request.now),
            "materials": proposed_materials(self.job, net),
        }
        return kwargs

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        rates, why_not, reverse_charge = self.preview()
        on = london_day(self.request.now)
        verdict = reverse_verdict(self.job.customer, Decimal(20), on)
        return super().get_context_data(
            job=self.job, rates=rates, why_not=why_not, reverse_charge=reverse_charge,
            net=sum((row.net for row in rates), ZERO), vat=sum((row.vat for row in rates), ZERO),
            gross=sum((row.gross for row in rates), ZERO),
            differs=verdict.applies != reverse_charge and verdict, **kwargs,
        )  # fmt: skip


class IssueForReceipt(Issuing):
    """The VAT invoice that follows the money."""

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

    def act(self, form: Any) -> Invoice:
        return services.issue_for_receipt(
            receipt_id=self.found.pk, simplified=form.cleaned_data.get("simplified", False),
            key=form.cleaned_data["uid"], by=self.request.user, at=self.request.now,
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

    def act(self, form: Any) -> Invoice:
        values = form.cleaned_data
        return services.issue_for_request(
            request_id=self.found.pk, supply_on=values["supply_on"],
            materials=values.get("materials") or ZERO, simplified=values.get("simplified", False),
            key=values["uid"], by=self.request.user, at=self.request.now,
        )  # fmt: skip
