"""Claims on the pages of an order and of a delivery, and what today asks of them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, time, timedelta
from typing import Any

from django.db.models import F
from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.clock import at_wall, london_day
from jobs.kernel.panels import TodayEntry, panel, today_entry
from stock.claims.enums import ClaimState
from stock.claims.models import Claim
from stock.claims.queries import claimable_lines, claims_of, unclaimed
from stock.claims.rules import ANSWER_DAYS, CREDIT_DAYS, notify_level

# They are told while somebody answers the telephone there.
BY_HOUR = time(16, 0)


@panel("order", 20, "jobs.view_yard")
def order_claims(request: HttpRequest, order: Any) -> tuple[str, dict[str, Any]] | None:
    """An order's claims: one query."""
    claims = claims_of([row.pk for row in order.deliveries.all()])
    return ("stock/claims/panel.html", {"claims": claims}) if claims else None


@panel("goods_in", 20, "jobs.view_yard")
def delivery_claims(request: HttpRequest, delivery: Any) -> tuple[str, dict[str, Any]]:
    """A delivery's claims, and whether there is more to claim for: two queries."""
    return "stock/claims/panel.html", {
        "claims": claims_of([delivery.pk]), "delivery": delivery,
        "can_claim": delivery.undone_at is None and bool(claimable_lines(delivery)),
    }  # fmt: skip


@today_entry("jobs.receive_goods")
def claims_to_open(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """Deliveries with something amiss that are not claimed for, while there is time: one query."""
    today = london_day(now)
    for row in unclaimed().filter(claim_by__gte=today):
        yield TodayEntry(
            at=at_wall(row.claim_by, BY_HOUR) if row.claim_by else None,
            title=f"Claim for {row.order}?",
            why=f"{row.order.supplier}: something was short, refused or held on "
            f"{row.received_at:%d %b}. After {row.claim_by:%d %b} nobody takes a claim.",
            url=reverse("claims:open", args=[row.pk]), button="Open a claim",
            level=notify_level(row.claim_by, today) if row.claim_by else "look",
        )  # fmt: skip


@today_entry("jobs.receive_goods")
def claims_to_tell(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """Claims of which they were not told: one query."""
    today = london_day(now)
    for claim in Claim.objects.standing(ClaimState.OPEN).for_list():
        late = claim.notify_by < today
        yield TodayEntry(
            at=None if late else at_wall(claim.notify_by, BY_HOUR),
            title=f"Tell {claim.get_against_display()} of {claim}",
            why=f"{claim.goods_in.order.supplier}, {claim.goods_in.order}: {claim.what[:120]}",
            url=reverse("claims:notify", args=[claim.pk]), button="Note how they were told",
            level=notify_level(claim.notify_by, today),
            clock_note="the day is past" if late else "",
        )  # fmt: skip


@today_entry("jobs.place_order")
def claims_to_ask_after(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """Claims without an answer, and answered ones without the whole credit: two queries."""
    today = london_day(now)
    silent = Claim.objects.standing(ClaimState.NOTIFIED).for_list()
    for claim in silent.filter(notified_at__lt=now - timedelta(days=ANSWER_DAYS)):
        yield entry(claim, f"No answer to {claim}", f"They were told {claim.notified_at:%d %b}.")
    owed = Claim.objects.standing(ClaimState.ANSWERED).for_list()
    owing = owed.filter(credit_expected__gt=F("credit_received"))
    for claim in owing.filter(answered_on__lt=today - timedelta(days=CREDIT_DAYS)):
        yield entry(claim, f"The credit of {claim} is still to come", f"{claim.credit_words}.")


def entry(claim: Claim, title: str, why: str) -> TodayEntry:
    """Return the line that asks somebody to ring them."""
    return TodayEntry(
        at=None, title=title, why=f"{claim.goods_in.order.supplier}: {why}",
        url=claim.get_absolute_url(), button="Ask after it", level="look",
    )  # fmt: skip
