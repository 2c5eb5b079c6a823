"""The quotes that left the firm, each once, with what became of it: one query for any number."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import (
    Case,
    CharField,
    Exists,
    F,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from jobs.audit.models import Event
from jobs.customers.enums import CustomerKind, Source
from jobs.kernel.clock import london_day
from jobs.surveys.enums import BaseKind
from jobs.work.enums import LostReason, Stage
from quotes.quoting.enums import RevisionState
from quotes.quoting.models import Revision
from quotes.results.enums import Outcome
from quotes.results.rules import Result, floor_with

NO_REASON = "declined by the customer"


def sent_quotes(today: date) -> QuerySet[Any]:
    """Return the newest sent revision of each quote, with `first_sent`, `outcome`, `value`, `why`.

    `value` is the price before VAT with the options taken; `why` the customer's or the firm's
    reason. `today` says which unanswered quotes have lapsed.
    """
    newer = Revision.objects.filter(
        quote=OuterRef("quote"), number__gt=OuterRef("number"), state__in=RevisionState.FROZEN
    ).order_by()
    rows = Revision.objects.filter(~Exists(newer), state__in=RevisionState.FROZEN)
    found: QuerySet[Any] = (
        rows.select_related("quote__job__customer", "survey")
        .only(
            "quote", "survey__base_kind", "number", "state", "net", "direct", "overhead",
            "overhead_percent", "closed_at", "valid_until", "quote__reference",
            "quote__job__reference", "quote__job__title", "quote__job__source",
            "quote__job__stage", "quote__job__lost_reason", "quote__job__customer__name",
            "quote__job__customer__kind",
        )
        .with_agreed()
        .annotate(
            first_sent=Subquery(_first_sent()),
            outcome=_outcome(today),
            value=F("agreed_net"),
            why=_why(),
        )
        .order_by("-first_sent", "-pk")
    )  # fmt: skip
    return found


def _first_sent() -> QuerySet[Any]:
    sent = Revision.objects.filter(quote=OuterRef("quote"), sent_at__isnull=False)
    return sent.order_by("sent_at").values("sent_at")[:1]


def _outcome(today: date) -> Case:
    gone = Q(quote__job__stage__in=(Stage.LOST, Stage.CANCELLED)) | Q(state="declined")
    return Case(
        When(state=RevisionState.ACCEPTED, then=Value(Outcome.WON.value)),
        When(gone, then=Value(Outcome.LOST.value)),
        When(valid_until__lt=today, then=Value(Outcome.LAPSED.value)),
        default=Value(Outcome.OPEN.value),
        output_field=CharField(),
    )


def _why() -> Case:
    told = Event.objects.filter(
        subject_type="quotes.revision", subject_id=OuterRef("pk"), verb="quote declined"
    ).order_by("-at", "-pk")
    words = [
        When(quote__job__lost_reason=reason.value, then=Value(str(reason.label)))
        for reason in LostReason
    ]
    return Case(
        When(state=RevisionState.ACCEPTED, then=Value("")),
        *words,
        When(
            state="declined",
            then=Coalesce(Subquery(told.values("reason")[:1]), Value(NO_REASON)),
        ),
        default=Value(""),
        output_field=CharField(),
    )


def results_of(rows: Iterable[Any]) -> list[Result]:
    """Return rows of `sent_quotes` as plain results; reads nothing more."""
    return [
        Result(
            sent_on=london_day(row.first_sent),
            outcome=row.outcome,
            net=row.value,
            floor=floor_of(row),
            source=Source(row.quote.job.source).label,
            base=BaseKind(row.survey.base_kind).label if row.survey else "no survey",
            customer_kind=CustomerKind(row.quote.job.customer.kind).label,
            reason=_group_reason(row),
        )
        for row in rows
    ]


def floor_of(row: Any) -> Decimal:
    """Return direct cost and overhead of a row with the options taken."""
    options = row.agreed_direct - row.direct
    return floor_with(row.direct, row.overhead, options, row.overhead_percent)


def _group_reason(row: Any) -> str:
    """Return the reason a loss is counted under: each customer's own words stay in the list."""
    job = row.quote.job
    if job.lost_reason:
        return str(LostReason(job.lost_reason).label)
    return "cancelled" if job.stage == Stage.CANCELLED else NO_REASON
