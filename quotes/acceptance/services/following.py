"""What an acceptance leads to, each part through the service of the room that owns it."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import nullcontext, suppress
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import Q

from jobs.billing.enums import VatCode as InvoiceCode
from jobs.billing.models import PaymentRequest
from jobs.billing.queries import plan_of, request_words
from jobs.billing.services import post_deposit_request, post_stage_plan
from jobs.costing.enums import Category, EntryKind
from jobs.costing.services import post_cost
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.kernel.templatetags.firm import day_year, money
from jobs.outbox.services import post_message
from jobs.work.enums import Stage as JobStage
from jobs.work.models import Job
from jobs.work.services import post_stage
from quotes.acceptance.models import Acceptance
from quotes.acceptance.rules import DEPOSIT_DAYS, deposit_with, last_day_to_cancel, total_with
from quotes.quoting.enums import LineKind, VatCode
from quotes.quoting.models import Line, Revision
from quotes.quoting.rules import QuoteSheet, invoiced_stages, of_sheet, planned_stages
from quotes.quoting.services import post_needs_once
from stock.allocation.services import NeedRow, post_requirements
from stock.catalogue.models import Item

SOURCE = "quotes.revision"


def follow(
    revision: Revision, sheet: QuoteSheet, acceptance: Acceptance, *, by: Any, at: datetime
) -> None:
    """Post stage, budget, requirements and deposit request, and tell customer and firm."""
    Line.objects.filter(revision=revision, pk__in=acceptance.options).update(chosen=True)
    taken = ~Q(kind=LineKind.OPTION) | Q(pk__in=acceptance.options)
    lines = list(Line.objects.filter(taken, revision=revision))
    post_needs_once(lines=lines)
    job = revision.quote.job
    post_stage(job=job, stage=JobStage.WON, by=by, at=at)
    post_budget(lines, job=job, source=SOURCE, source_id=revision.pk, by=by, at=at)
    post_requirements(job=job, rows=needs_of_lines(lines), by=by, at=at)
    gross = acceptance.pounds
    deposit = deposit_with(sheet, acceptance.options)
    asked = None
    if deposit > 0:
        asked = post_deposit_request(
            job=job, amount=deposit, by=by, at=at,
            words=f"Deposit of {revision.deposit_percent.normalize():f} % for {sheet.title}, "
            f"quote {sheet.reference}",
            due_on=london_day(at) + timedelta(days=DEPOSIT_DAYS),
        )  # fmt: skip
    post_plan(revision, sheet, acceptance, by=by, at=at)
    tell_accepted(revision, sheet, acceptance, gross, asked, at)


def true_rate(revision: Revision) -> Decimal:
    """Return the rate of VAT of the work itself, under reverse charge too."""
    return ZERO if revision.vat_code == VatCode.ZERO else revision.vat_percent


def post_plan(
    revision: Revision, sheet: QuoteSheet, acceptance: Acceptance, *, by: Any, at: datetime
) -> None:
    """Write how the job is paid: the quote's stages over the price with the options taken.

    A plan of which something was asked for or invoiced stands, and a rate that invoices do not know
    is left to a person, for neither may keep a customer from accepting.
    """
    job, rate = revision.quote.job, true_rate(revision)
    if rate not in InvoiceCode.PERCENT.values():
        return
    net = total_with(sheet, acceptance.options)[0]
    plan = of_sheet(sheet.stages) or planned_stages(revision.deposit_percent, ())
    with suppress(ServiceError) if plan_of(job) else nullcontext(), transaction.atomic():
        post_stage_plan(
            job=job, net_by_rate={rate: net}, stages=invoiced_stages(net, plan), by=by, at=at,
            reverse_charge=revision.vat_code == VatCode.REVERSE,
            vat_reason=revision.vat_reason, vat_document=revision.vat_document,
        )  # fmt: skip


def post_budget(
    lines: Sequence[Any], *, job: Job, source: str, source_id: int, by: Any, at: datetime
) -> None:
    """Post the direct cost of agreed lines as budget, by category and material by item.

    Stock is posted with its quantity as costing counts it and labour with its hours, so that
    price and usage can be told apart later. Lines are those of a quote or of a variation, whose
    figures may be below nought.
    """
    stock = _stock_budget(lines)
    names = {item.pk: item for item in Item.objects.filter(pk__in=stock)}
    materials = sum((line.materials for line in lines), ZERO)
    others = materials - sum((cost for _, cost in stock.values()), ZERO)
    rows: list[tuple[str, str, str, Decimal, Decimal | None, str]] = [
        ("item-" + str(pk), Category.MATERIALS, str(names[pk]), cost,
         *names[pk].as_costed(quantity))
        for pk, (quantity, cost) in stock.items()
    ]  # fmt: skip
    hours = sum((line.labour_hours for line in lines), ZERO)
    rows += [
        ("materials", Category.MATERIALS, "bought-in material", others, None, ""),
        ("labour", Category.LABOUR, "labour", sum((x.labour for x in lines), ZERO), hours, "h"),
        ("plant", Category.PLANT, "plant", sum((x.plant for x in lines), ZERO), None, ""),
        ("other", Category.OTHER, "other", sum((x.other for x in lines), ZERO), None, ""),
    ]
    for part, category, what, amount, quantity, unit in rows:
        if amount:
            post_cost(
                job=job, kind=EntryKind.BUDGET, category=category, what=what,
                amount=amount, day=london_day(at), source=source, source_id=source_id,
                key=f"{source}:{source_id}:{part}", by=by, at=at, quantity=quantity, unit=unit,
            )  # fmt: skip


def _stock_budget(lines: Sequence[Any]) -> dict[int, tuple[int, Decimal]]:
    found: dict[int, tuple[int, Decimal]] = {}
    for line in lines:
        for row in line.stock:
            quantity, cost = found.get(row["item"], (0, ZERO))
            found[row["item"]] = (quantity + row["quantity"], cost + Decimal(row["cost"]))
    return found


def needs_of_lines(lines: list[Line]) -> list[NeedRow]:
    """Return what the accepted lines take from the yard."""
    return [
        NeedRow(
            item_id=row["item"], quantity=row["quantity"],
            colour_group=row["colour_group"], phase=row["phase"],
        )
        for line in lines
        for row in line.stock
        if row["quantity"]
    ]  # fmt: skip


def tell_accepted(
    revision: Revision,
    sheet: QuoteSheet,
    acceptance: Acceptance,
    gross: Decimal,
    asked: PaymentRequest | None,
    at: datetime,
) -> None:
    """Send a copy to the customer and to the firm, and with it ask for the deposit."""
    chosen = [line.words for line in sheet.options if line.key in acceptance.options]
    head = (
        f"Quote {sheet.reference}, revision {sheet.number}, for {sheet.title} was accepted by "
        f"{acceptance.name} on {day_year(acceptance.signed_day)}: {money(gross)} with VAT."
    )
    parts = [head]
    if chosen:
        parts.append(f"Options taken: {'; '.join(chosen)}.")
    if sheet.consumer:
        early = acceptance.consents.get("begin_early", {}).get("given")
        parts.append(
            f"You may cancel until {day_year(last_day_to_cancel(acceptance.signed_day))}; the form "
            "is in the PDF." + (" You asked us to begin before that." if early else "")
        )
    if asked:
        parts.append(request_words(asked))
    parts.append("The PDF is attached as it was accepted.")
    body = "\n\n".join([*parts, sheet.firm])
    attachments = [revision.pdf_uid] if revision.pdf_uid else []
    subject = f"{sheet.title_line} accepted: {sheet.title}"
    customer = revision.sent_to or revision.quote.job.customer.email
    for audience, to in (("customer", customer), ("staff", settings.DEFAULT_FROM_EMAIL)):
        if to:
            post_message(
                occasion=f"accepted:{revision.pk}:{audience}", audience=audience, to=to,
                subject=subject, body=body, about=revision.quote.job, attachments=attachments,
                at=at,
            )  # fmt: skip


def tell_declined(revision: Revision, reason: str, at: datetime) -> None:
    """Tell the firm that a quote was declined, and why."""
    job = revision.quote.job
    post_message(
        occasion=f"declined:{revision.pk}", audience="staff", to=settings.DEFAULT_FROM_EMAIL,
        subject=f"Quote {revision.quote} declined: {job.title}",
        body=f"{job.customer.name} declined revision {revision.number} for {job.title}.\n\n"
        f"The reason given: {reason}\n",
        about=job, at=at,
    )  # fmt: skip
