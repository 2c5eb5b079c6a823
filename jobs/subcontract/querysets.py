"""What stands of bills and payments, and the sums of a tax month."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db.models import (
    Case,
    Exists,
    ExpressionWrapper,
    F,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Sum,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from jobs.kernel.fields import PenceField

NOTHING = Value(0, output_field=PenceField())


def pounds(sum_: Any) -> Any:
    """Return a sum of pence as the pounds it is: Django takes it for a whole number otherwise."""
    return ExpressionWrapper(sum_, output_field=PenceField())


class BillQuerySet(QuerySet[Any]):
    """Bills and the counter-entries that take them back."""

    def standing(self) -> BillQuerySet:
        """Return the bills that were not taken back."""
        rows: BillQuerySet = self.filter(reverses=None, reversed_by=None)
        return rows

    def with_state(self) -> BillQuerySet:
        """Add `is_paid` and `is_back`, without further queries."""
        payments = self.model._meta.get_field("payments").related_model
        standing = payments._base_manager.filter(  # noqa: SLF001 - documented
            bill=OuterRef("pk"), reverses=None, reversed_by=None
        )
        rows: BillQuerySet = self.annotate(
            is_paid=Exists(standing),
            is_back=Case(When(reversed_by__isnull=False, then=True), default=False),
            with_vat=pounds(F("net") + F("vat")),
        )
        return rows

    def for_list(self) -> BillQuerySet:
        """Return the list's rows, the latest first: one query."""
        rows: BillQuerySet = self.filter(reverses=None).with_state()
        return rows.select_related("subcontractor", "job").order_by("-billed_on", "-pk")


class PaymentQuerySet(QuerySet[Any]):
    """Payments and the counter-entries that take them back."""

    def standing(self) -> PaymentQuerySet:
        """Return the payments that were not taken back."""
        rows: PaymentQuerySet = self.filter(reverses=None, reversed_by=None)
        return rows

    def of_month(self, end: date) -> PaymentQuerySet:
        """Return all that was booked for a tax month, counter-entries too."""
        rows: PaymentQuerySet = self.filter(month_end=end)
        return rows


class SubcontractorQuerySet(QuerySet[Any]):
    """Subcontractors."""

    def of_month(self, end: date) -> SubcontractorQuerySet:
        """Return those who were paid in a tax month with its sums: one query."""

        def total(name: str) -> Coalesce:
            wanted = Q(bills__payments__month_end=end)
            return Coalesce(Sum(f"bills__payments__{name}", filter=wanted), NOTHING)

        rows: SubcontractorQuerySet = self.filter(bills__payments__month_end=end).annotate(
            month_gross=total("gross"), month_vat=total("vat"), month_excluded=total("excluded"),
            month_taxed=total("taxed"), month_deduction=total("deduction"),
            month_paid=total("paid"), month_net=pounds(total("gross") - total("vat")),
        )  # fmt: skip
        return rows.order_by("name")

    def for_list(self, on: date) -> SubcontractorQuerySet:
        """Return the list's rows with the rate of the day and what is to be paid: one query."""
        model: Any = self.model
        known = model._meta.get_field("verifications").related_model
        last = known._base_manager.filter(  # noqa: SLF001 - documented
            subcontractor=OuterRef("pk"), verified_on__lte=on
        ).order_by("-verified_on", "-pk")
        bills = model._meta.get_field("bills").related_model.objects
        unpaid = (
            bills.filter(reverses=None).with_state()
            .filter(is_back=False, is_paid=False, subcontractor=OuterRef("pk"))
            .order_by().values("subcontractor").annotate(sum=Sum(F("net") + F("vat")))
            .values("sum")
        )  # fmt: skip
        rows: SubcontractorQuerySet = self.annotate(
            rate_now=Subquery(last.values("percent")[:1]),
            last_verified=Subquery(last.values("verified_on")[:1]),
            to_pay=Coalesce(Subquery(unpaid, output_field=PenceField()), NOTHING),
        )
        return rows.order_by("name")
