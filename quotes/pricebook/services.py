"""Changing the price book. A rate is never edited: a new one begins on its day.

Long because: each kind of entry stands beside its dated figures.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.audit.services import changes, post_event
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from quotes.pricebook.enums import BookKind
from quotes.pricebook.models import FirmRates, WorkItem, WorkItemRate, WorkItemStock
from quotes.pricebook.queries import BOOK
from quotes.pricebook.rules import MOST_STOCKED
from stock.catalogue.models import Item

RATE_FIGURES = (
    "labour_hours",
    "plant",
    "machine_id",
    "machine_days",
    "material",
    "waste_percent",
)


def post_work_item(
    *,
    code: str,
    name: str,
    unit: str,
    measure: str,
    is_surface: bool = False,
    by: Any,
    at: datetime,
) -> WorkItem:
    """Add a work item, in the caller's transaction; no quote can use it before its first rate."""
    assert_in_transaction()
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


def post_work_item_words(
    *, work_item_id: int, values: Mapping[str, object], by: Any, at: datetime
) -> WorkItem:
    """Change name, measure or whether it is the laying labour, in the caller's transaction.

    The unit stays, since rates hang on it.
    """
    assert_in_transaction()
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
    return post_work_item(
        code=code, name=name, unit=unit, measure=measure, is_surface=is_surface, by=by, at=at
    )


@transaction.atomic(durable=True)
def change_work_item(
    *, work_item_id: int, values: Mapping[str, object], by: Any, at: datetime
) -> WorkItem:
    """Change name, measure or whether it is the laying labour; the unit stays, rates hang on it."""
    return post_work_item_words(work_item_id=work_item_id, values=values, by=by, at=at)


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


def post_rate(
    *,
    work_item_id: int,
    valid_from: date,
    labour_hours: Decimal = Decimal(0),
    plant: Decimal = Decimal(0),
    machine_id: int | None = None,
    machine_days: Decimal = Decimal(0),
    material: Decimal = Decimal(0),
    stock: Mapping[int, int] | None = None,
    waste_percent: Decimal = Decimal(0),
    by: Any,
    at: datetime,
) -> WorkItemRate:
    """Give a work item new figures from a day on, in the caller's transaction.

    The day must be after that of its last rate, so that the past keeps its figures. stock: item
    number -> base units of it that one unit takes from the yard, six items at most.
    """
    # long because: a rate's every figure is an argument
    assert_in_transaction()
    item: WorkItem = WorkItem.objects.select_for_update(no_key=True).get(pk=work_item_id)
    _after_last(item.rates.order_by("-valid_from").first(), valid_from)
    taken = _taken(stock or {})
    if (machine_id is None) != (machine_days == 0):
        raise ServiceError(
            "Give the machine together with the days of it that one unit takes, or neither.",
            field="machine_days",
        )
    rate = WorkItemRate.objects.create(
        work_item=item, valid_from=valid_from, labour_hours=labour_hours, plant=plant,
        machine_id=machine_id, machine_days=machine_days, material=material,
        waste_percent=waste_percent,
    )  # fmt: skip
    WorkItemStock.objects.bulk_create(
        WorkItemStock(rate=rate, item=each, quantity=quantity) for each, quantity in taken
    )
    kept = {key: getattr(rate, key) for key in RATE_FIGURES}
    kept["stock"] = "; ".join(f"{each.code} {quantity}" for each, quantity in taken)
    post_event(
        verb="add rate", subject=item, by=by, at=at, after={"valid_from": valid_from} | kept
    )  # fmt: skip
    return rate


def _taken(stock: Mapping[int, int]) -> list[tuple[Item, int]]:
    if len(stock) > MOST_STOCKED:
        raise ServiceError(f"A unit of work takes {MOST_STOCKED} items from the yard at most.")
    if any(quantity <= 0 for quantity in stock.values()):
        raise ServiceError("Give more than 0 of each item that one unit takes from the yard.")
    items = Item.objects.in_bulk(list(stock)) if stock else {}
    if len(items) < len(stock):
        raise ServiceError("Choose the items of the yard from the list.")
    return [(items[number], quantity) for number, quantity in stock.items()]


@transaction.atomic(durable=True)
def add_rate(
    *, work_item_id: int, valid_from: date, by: Any, at: datetime, **figures: Any
) -> WorkItemRate:
    """Give a work item new figures from a day on; the day must be after that of its last rate.

    So the past keeps its figures, and a quote sent yesterday is not moved. `figures` are those of
    `post_rate`.
    """
    return post_rate(work_item_id=work_item_id, valid_from=valid_from, by=by, at=at, **figures)


def post_firm_rates(
    *,
    valid_from: date,
    labour_hourly: Decimal,
    overhead_percent: Decimal,
    margin_percent: Decimal,
    daywork_percents: tuple[Decimal, Decimal, Decimal] | None = None,
    by: Any,
    at: datetime,
    **figures: Any,
) -> FirmRates:
    """Give the firm's own rates from a day on, which must be after that of the last ones.

    daywork_percents: additions to labour, plant and material of day-work; None prices it as other
    work. figures: any of vat_percent, waste_percent, deposit_percent, minimum_charge,
    validity_days, mile_rate, crew_size, day_hours; what is not given is the model's default.
    """
    assert_in_transaction()
    labour, plant, material = daywork_percents or (None, None, None)
    values = {
        "valid_from": valid_from, "labour_hourly": labour_hourly,
        "overhead_percent": overhead_percent, "margin_percent": margin_percent, **figures,
        "daywork_labour_percent": labour, "daywork_plant_percent": plant,
        "daywork_material_percent": material,
    }  # fmt: skip
    last = FirmRates.objects.select_for_update(no_key=True).order_by("-valid_from").first()
    _after_last(last, valid_from)
    rates = FirmRates.objects.create(**values)
    post_event(verb="add firm rates", subject=rates, by=by, at=at, after=values)
    return rates


@transaction.atomic(durable=True)
def add_firm_rates(*, by: Any, at: datetime, **values: Any) -> FirmRates:
    """Give the firm's own rates from a day on; `values` are those of `post_firm_rates`."""
    return post_firm_rates(by=by, at=at, **values)


def post_entry(*, kind: str, name: str, by: Any, at: datetime, unit: str = "") -> Any:
    """Add plant, ground or a small job, in the caller's transaction; it has no figures yet."""
    assert_in_transaction()
    model, _ = BOOK[kind]
    if model.objects.filter(name__iexact=name).exists():
        raise ServiceError("Another entry has this name.", field="name", code="taken")
    more = {"unit": unit} if kind == BookKind.SMALL and unit else {}
    entry = model.objects.create(name=name, **more)
    post_event(
        verb=f"add {kind}", subject=entry, by=by, at=at, after={"name": name, **more}
    )  # fmt: skip
    return entry


@transaction.atomic(durable=True)
def add_entry(*, kind: str, name: str, by: Any, at: datetime, unit: str = "") -> Any:
    """Add plant, ground or a small job; it has no figures yet, so no quote can use it."""
    return post_entry(kind=kind, name=name, unit=unit, by=by, at=at)


def post_entry_rate(
    *, kind: str, entry_id: int, valid_from: date, figures: Mapping[str, Any], by: Any, at: datetime
) -> Any:
    """Give an entry new figures from a day on, in the caller's transaction.

    The day must be after that of its last ones.
    """
    assert_in_transaction()
    model, rate_model = BOOK[kind]
    entry = model.objects.select_for_update(no_key=True).get(pk=entry_id)
    _after_last(entry.rates.order_by("-valid_from").first(), valid_from)
    rate = rate_model(entry=entry, valid_from=valid_from, **figures)
    rate.full_clean()
    rate.save()
    post_event(
        verb=f"add {kind} figures", subject=entry, by=by, at=at,
        after={"valid_from": valid_from} | dict(figures),
    )  # fmt: skip
    return rate


@transaction.atomic(durable=True)
def add_entry_rate(
    *, kind: str, entry_id: int, valid_from: date, figures: Mapping[str, Any], by: Any, at: datetime
) -> Any:
    """Give an entry new figures from a day on; the day must be after that of its last ones."""
    return post_entry_rate(
        kind=kind, entry_id=entry_id, valid_from=valid_from, figures=figures, by=by, at=at
    )


@transaction.atomic(durable=True)
def archive_entry(*, kind: str, entry_id: int, by: Any, at: datetime) -> Any:
    """Take an entry out of use, or bring it back; quotes that hold it keep it."""
    model, _ = BOOK[kind]
    entry = model.objects.select_for_update(no_key=True).get(pk=entry_id)
    back = entry.archived_at is not None
    entry.archived_at = None if back else at
    entry.save(update_fields=["archived_at"])
    verb = f"bring back {kind}" if back else f"archive {kind}"
    post_event(verb=verb, subject=entry, by=by, at=at)
    return entry


def _after_last(last: Any, valid_from: date) -> None:
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
