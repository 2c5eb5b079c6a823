"""What a signed variation leads to, each part through the service of the room that owns it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.conf import settings

from jobs.audit.services import post_event
from jobs.billing.services import post_variation_to_plan
from jobs.kernel.money import ZERO
from jobs.kernel.templatetags.firm import day_year, money, signed_money
from jobs.outbox.services import post_message
from jobs.work.models import Job
from quotes.acceptance.rules import last_day_to_cancel
from quotes.acceptance.services import post_budget, true_rate
from quotes.variations import queries
from quotes.variations.enums import VariationState
from quotes.variations.models import ChangeLine, Variation, VariationAnswer
from quotes.variations.rules.parts import stock_of
from stock.allocation.services import NeedRow, lock_requirements, post_requirements

SOURCE = "quotes.variation"


@dataclass(frozen=True)
class Charges:
    """What cannot be returned and what taking back costs, as a line of the budget."""

    materials: Decimal
    other: Decimal
    labour: Decimal = ZERO
    plant: Decimal = ZERO
    labour_hours: Decimal = ZERO
    stock: list[dict[str, Any]] = field(default_factory=list)


def follow(variation: Variation, answer: VariationAnswer, *, by: Any, at: datetime) -> None:
    """Close it as accepted; move budget, requirements and stage plan; tell customer and firm."""
    job = variation.revision.quote.job
    variation.state, variation.closed_at = VariationState.ACCEPTED, at
    if variation.days_added:
        variation.booked_then = queries.booked_halves([job.pk]).get(job.pk, {})
    variation.save(update_fields=["state", "closed_at", "booked_then"])
    post_event(
        verb="accept variation", subject=answer, by=by, at=at,
        after={"gross": answer.gross, "how": answer.answered_by},
    )  # fmt: skip
    lines = list(variation.lines.all())
    charges = Charges(materials=variation.kept_material, other=variation.restocking)
    post_budget(
        [*lines, charges], job=job, source=SOURCE, source_id=variation.pk, by=by, at=at
    )  # fmt: skip
    move_needs(job, lines, by=by, at=at)
    move_plan(variation, by=by, at=at)
    tell_accepted(variation, answer, at)


def move_needs(job: Job, lines: list[ChangeLine], *, by: Any, at: datetime) -> None:
    """Make the job require what it required and what the lines change of it."""
    moved = stock_of(lines)
    if not moved:
        return
    wanted = {
        (row.item_id, row.colour_group, row.phase): row.quantity
        for row in lock_requirements(job.pk)
        if row.closed_at is None
    }
    for spot, quantity in moved.items():
        # What was issued beyond the new quantity comes back as a return, not as a need.
        wanted[spot] = max(wanted.get(spot, 0) + quantity, 0)
    rows = [
        NeedRow(item_id=item, quantity=quantity, colour_group=group, phase=phase)
        for (item, group, phase), quantity in wanted.items()
        if quantity
    ]
    post_requirements(job=job, rows=rows, by=by, at=at)


def move_plan(variation: Variation, *, by: Any, at: datetime) -> None:
    """Move what is still to be asked for, in the job's plan of stage payments."""
    net = {true_rate(variation.revision): variation.net}
    job = variation.revision.quote.job
    if variation.net:
        post_variation_to_plan(
            job=job, net_by_rate=net, words=f"{variation.label}: {variation.title}", by=by, at=at
        )


def tell_accepted(variation: Variation, answer: VariationAnswer, at: datetime) -> None:
    """Send a copy to the customer and to the firm."""
    sheet, found = queries.sheet_of(variation, at), queries.counted(variation)
    head = (
        f"{sheet.title_line} for {sheet.job_title}, {sheet.title}, was accepted by {answer.name} "
        f"on {day_year(answer.signed_day)}: {signed_money(sheet.gross)} with VAT. The job now "
        f"comes to {money(found.after)} with VAT."
    )
    parts = [head, sheet.effect]
    if found.gross != sheet.gross:
        parts.append(
            "VAT is worked out once, on the price of the whole job. With what was accepted before "
            f"it, this change counts {signed_money(found.gross)} with VAT in that price; before "
            f"VAT it is {signed_money(found.net)} as agreed."
        )
    if sheet.consumer:
        parts.append(
            f"You may cancel this change until {last_day(answer)}; a letter or e-mail will do."
        )
    parts.append("The PDF is attached as it was accepted.")
    body = "\n\n".join([*parts, sheet.firm])
    job = variation.revision.quote.job
    customer = variation.sent_to or job.customer.email
    for audience, to in (("customer", customer), ("staff", settings.DEFAULT_FROM_EMAIL)):
        if to:
            post_message(
                occasion=f"variation-accepted:{variation.pk}:{audience}", audience=audience, to=to,
                subject=f"{sheet.title_line} accepted: {sheet.title}", body=body, about=job,
                attachments=[variation.pdf_uid] if variation.pdf_uid else [], at=at,
            )  # fmt: skip


def last_day(answer: VariationAnswer) -> str:
    """Return the last day on which a consumer may cancel what he signed, in words."""
    return day_year(last_day_to_cancel(answer.signed_day))


def tell_declined(variation: Variation, at: datetime) -> None:
    """Tell the firm that a variation was declined, and why."""
    job = variation.revision.quote.job
    post_message(
        occasion=f"variation-declined:{variation.pk}", audience="staff",
        to=settings.DEFAULT_FROM_EMAIL, subject=f"{variation} declined: {variation.title}",
        body=f"{job.customer.name} declined {variation} for {job.title}.\n\n"
        f"The reason given: {variation.decline_reason}\n",
        about=job, at=at,
    )  # fmt: skip
