"""Changing the price book. A rate is never edited: a new one begins on its day."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.audit.services import changes, post_event
from jobs.kernel.errors import ServiceError
from quotes.pricebook.models import FirmRates, WorkItem, WorkItemRate

RATE_FIGURES = (
    "labour_hours", "plant", "material", "stock_item_id", "stock_per_unit", "waste_percent",
)  # fmt: skip


@transaction.atomic(durable=True)
def add_work_item(
    *,
    code: str,
    name: str,
    unit: str,
    measure: str,
    is_surface: bool = False,
    by: Any,
    at: datetime,
) -> WorkItem:
    """Add a work item; it has no rate yet, so no quote can use it until one is given."""
    if WorkItem.objects.filter(code__iexact=code).exists():
        raise ServiceError("Another work item has this code.", field="code", code="taken")
    if is_surface:
        _only_surface(None)
    item = WorkItem.objects.create(
        code=code, name=name, unit=unit, measure=measure, is_surface=is_surface
    )
    post_event(
        verb="add work item", subject=item, by=by, at=at,
        after={"code": code, "name": name, "unit": unit, "measure": measure},
    )  # fmt: skip
    return item


@transaction.atomic(durable=True)
def change_work_item(
    *, work_item_id: int, values: Mapping[str, object], by: Any, at: datetime
) -> WorkItem:
    """Change name, measure or whether it is the laying labour; the unit stays, rates hang on it."""
    item: WorkItem = WorkItem.objects.select_for_update(no_key=True).get(pk=work_item_id)
    allowed = {key: values[key] for key in ("name", "measure", "is_surface") if key in values}
    before, after = changes(item, allowed)
    if after.get("is_surface"):
        _only_surface(item.pk)
    for key, value in after.items():
        setattr(item, key, value)
    if after:
        item.save(update_fields=list(after))
        post_event(
            verb="change work item", subject=item, by=by, at=at, before=before, after=after
        )  # fmt: skip
    return item


@transaction.atomic(durable=True)
def archive_work_item(*, work_item_id: int, by: Any, at: datetime) -> WorkItem:
    """Take a work item out of use, or bring it back; quotes that hold it keep it."""
    item: WorkItem = WorkItem.objects.select_for_update(no_key=True).get(pk=work_item_id)
    back = item.archived_at is not None
    if back and item.is_surface:
        _only_surface(item.pk)
    item.archived_at = None if back else at
    item.save(update_fields=["archived_at"])
    verb = "bring back work item" if back else "archive work item"
    post_event(verb=verb, subject=item, by=by, at=at)
    return item


@transaction.atomic(durable=True)
def add_rate(
    *,
    work_item_id: int,
    valid_from: date,
    labour_hours: Decimal = Decimal(0),
    plant: Decimal = Decimal(0),
    material: Decimal = Decimal(0),
    stock_item_id: int | None = None,
    stock_per_unit: int = 0,
    waste_percent: Decimal = Decimal(0),
    by: Any,
    at: datetime,
) -> WorkItemRate:
    """Give a work item new figures from a day on; the day must be after that of its last rate.

    So the past keeps its figures, and a quote sent yesterday is not moved.
    """
    item: WorkItem = WorkItem.objects.select_for_update(no_key=True).get(pk=work_item_id)
    _after_last(item.rates.order_by("-valid_from").first(), valid_from)
    if (stock_item_id is None) != (stock_per_unit == 0):
        raise ServiceError(
            "Give the stock item together with how much of it one unit takes, or neither.",
            field="stock_per_unit",
        )
    rate = WorkItemRate.objects.create(
        work_item=item, valid_from=valid_from, labour_hours=labour_hours, plant=plant,
        material=material, stock_item_id=stock_item_id, stock_per_unit=stock_per_unit,
        waste_percent=waste_percent,
    )  # fmt: skip
    post_event(
        verb="add rate", subject=item, by=by, at=at,
        after={"valid_from": valid_from} | {key: getattr(rate, key) for key in RATE_FIGURES},
    )  # fmt: skip
    return rate


@transaction.atomic(durable=True)
def add_firm_rates(
    *,
    valid_from: date,
    labour_hourly: Decimal,
    overhead_percent: Decimal,
    margin_percent: Decimal,
    vat_percent: Decimal = Decimal(20),
    waste_percent: Decimal = Decimal(5),
    deposit_percent: Decimal = Decimal(25),
    minimum_charge: Decimal = Decimal(0),
    validity_days: int = 30,
    by: Any,
    at: datetime,
) -> FirmRates:
    """Give the firm's own rates from a day on, which must be after that of the last ones."""
    values = {
        "valid_from": valid_from, "labour_hourly": labour_hourly,
        "overhead_percent": overhead_percent, "margin_percent": margin_percent,
        "vat_percent": vat_percent, "waste_percent": waste_percent,
        "deposit_percent": deposit_percent, "minimum_charge": minimum_charge,
        "validity_days": validity_days,
    }  # fmt: skip
    last = FirmRates.objects.select_for_update(no_key=True).order_by("-valid_from").first()
    _after_last(last, valid_from)
    rates = FirmRates.objects.create(**values)
    post_event(verb="add firm rates", subject=rates, by=by, at=at, after=values)
    return rates


def _after_last(last: WorkItemRate | FirmRates | None, valid_from: date) -> None:
    if last is not None and valid_from <= last.valid_from:
        raise ServiceError(
            f"The figures in the book hold from {last.valid_from:%d %b %Y}; new ones must begin "
            "on a later day.",
            field="valid_from",
            code="not_later",
        )


def _only_surface(but: int | None) -> None:
    if WorkItem.objects.in_use().filter(is_surface=True).exclude(pk=but).exists():
        raise ServiceError(
            "Another work item already stands for the laying labour; there is one only.",
            field="is_surface",
        )
