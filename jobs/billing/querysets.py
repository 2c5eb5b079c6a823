"""What stands of invoices: credited, received, still open."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.db.models import Case, F, OuterRef, Q, QuerySet, Subquery, Sum, Value, When
from django.db.models.functions import Coalesce, Greatest

from jobs.billing.enums import InvoiceKind
from jobs.billing.rules import days_of
from jobs.kernel.fields import PenceField

NOTHING = Value(0, output_field=PenceField())


class InvoiceQuerySet(QuerySet[Any]):
    """Invoices and credit notes."""

    def with_standing(self) -> InvoiceQuerySet:
        """Add `credited` (below nought), `came_in` and `open_amount`, without further queries.

        An invoice for money received is paid; one for a request is open by what has not come in.
        """
        credits_ = (
            self.model._base_manager.filter(credits=OuterRef("pk"))  # noqa: SLF001 - documented
            .order_by()
            .values("credits")
            .annotate(sum=Sum("gross"))
            .values("sum")
        )
        owed = F("gross") + F("credited") - F("came_in")
        rows: InvoiceQuerySet = self.annotate(
            credited=Coalesce(Subquery(credits_, output_field=PenceField()), NOTHING),
            came_in=Case(
                When(receipt__isnull=False, then=F("gross")),
                default=Coalesce(F("request__received"), NOTHING),
                output_field=PenceField(),
            ),
        ).annotate(
            open_amount=Case(
                When(kind=InvoiceKind.CREDIT, then=NOTHING),
                default=Greatest(owed, NOTHING, output_field=PenceField()),
                output_field=PenceField(),
            )
        )
        return rows

    def for_list(self) -> InvoiceQuerySet:
        """Return the list's rows, the latest first: one query."""
        rows: InvoiceQuerySet = self.with_standing().select_related("job", "credits")
        return rows.order_by("-issued_at", "-pk")

    def of_age(self, age: str, on: date) -> InvoiceQuerySet:
        """Return those with something open that has been due for so long on the day `on`."""
        least, most = days_of(age)
        rows: InvoiceQuerySet = self.filter(open_amount__gt=0)
        if least is not None:
            rows = rows.filter(due_on__lte=on - timedelta(days=least))
        if most is not None:
            rows = rows.filter(Q(due_on=None) | Q(due_on__gte=on - timedelta(days=most)))
        return rows

    def standing(self) -> InvoiceQuerySet:
        """Return the invoices that were not credited in whole."""
        issued = self.with_standing().exclude(kind=InvoiceKind.CREDIT)
        rows: InvoiceQuerySet = issued.alias(stands=F("gross") + F("credited")).filter(stands__gt=0)
        return rows
