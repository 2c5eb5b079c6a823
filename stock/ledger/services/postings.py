"""Posting movements under guarded balances; an issue's cost goes to the job, a return's comes back.

The lot row is the lock for its stock. Whoever writes several lots locks them in pk order; whoever
also writes requirements locks those first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction

from jobs.audit.services import post_event
from jobs.costing.enums import Category, EntryKind
from jobs.costing.services import post_cost
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError, assert_in_transaction, digest_of
from stock.catalogue.models import Place
from stock.ledger import queries
from stock.ledger.enums import PostingKind
from stock.ledger.models import Balance, Lot, Movement, Posting
from stock.ledger.rules import COUNTED, YARD, JobShare
from stock.ledger.services.drafts import Draft, Row, check_left, check_rows, ends_of


def post_movements(
    *,
    key: UUID,
    kind: str,
    rows: Sequence[Row],
    job_id: int | None = None,
    day: date,
    reason: str = "",
    by: Any,
    at: datetime,
    reverses: Posting | None = None,
    inputs: Mapping[str, object] | None = None,
    lock: bool = True,
) -> Posting:
    """Post movements of one kind together, in the caller's transaction.

    The same `key` with the same inputs returns the posting that stands; with others it raises
    KeyUsedError. `inputs` says what the key stands for where that is more than the rows (a form's
    values). An issue posts the lots' actual cost to the job and a return credits what those units
    were issued at; nothing else posts cost. With `reverses`, rows mirror that posting's movements
    and carry its very costs back. Refuses (ServiceError) what would leave less than nothing in a
    place, less on hand than is reserved, or what may not be used. `lock=False` is for the race
    tests' control only.
    """
    # long because: the one way into the ledger, in the order it locks and writes
    assert_in_transaction()
    meant = inputs if inputs is not None else inputs_of(rows, job_id, day)
    lots = lock_lots({row.lot_id for row in rows}, lock=lock)
    done = queries.find_posting(key=key, kind=kind, inputs=meant)
    if done is not None:
        return done
    places = Place.objects.in_bulk({r.from_place_id for r in rows} | {r.to_place_id for r in rows})
    draft = Draft(kind, list(rows), job_id, day, reverses, lots, places)
    check_rows(draft)
    move_balances(draft)
    costs = cost_rows(draft)
    posting = make_posting(
        key=key, digest=digest_of(meant), kind=kind, job_id=job_id, day=day, at=at, by=by,
        reason=reason, reverses=reverses,
    )  # fmt: skip
    movements = Movement.objects.bulk_create(
        Movement(
            posting=posting, lot_id=row.lot_id, quantity=row.quantity, cost=cost,
            from_place_id=row.from_place_id, to_place_id=row.to_place_id,
        )
        for row, cost in zip(rows, costs, strict=True)
    )  # fmt: skip
    if kind in {PostingKind.ISSUE, PostingKind.RETURN}:
        post_job_costs(posting, movements, lots, by=by, at=at)
    post_event(verb=f"stock.{kind}", subject=posting, by=by, at=at, reason=reason)
    return posting


def inputs_of(rows: Sequence[Row], job_id: int | None, day: date) -> dict[str, object]:
    """Return what a key stands for when the rows are all there is to it."""
    return {
        "rows": [(r.lot_id, r.quantity, r.from_place_id, r.to_place_id) for r in rows],
        "job": job_id,
        "day": day,
    }


def lock_lots(lot_ids: set[int], *, lock: bool = True) -> dict[int, Lot]:
    """Lock lots in pk order and read them afresh, with their items."""
    rows = Lot.objects.filter(pk__in=lot_ids).select_related("item").order_by("pk")
    if lock:
        rows = rows.select_for_update(of=("self",), no_key=True)
    lots = {lot.pk: lot for lot in rows}
    if len(lots) != len(lot_ids):
        raise ServiceError("One of these lots is not in the book.", code="lot")
    return lots


def move_balances(draft: Draft) -> None:
    """Move the quantities between the guarded balances and keep the lots' sums in step."""
    balances = {
        (row.lot_id, row.place_id): row
        for row in Balance.objects.filter(lot_id__in=draft.lots, place_id__in=draft.places)
    }
    touched: dict[tuple[int, int], Balance] = {}
    for row in draft.rows:
        lot = draft.lots[row.lot_id]
        for place_id, change in ends_of(row):
            kind = draft.places[place_id].kind
            if kind not in COUNTED:
                continue
            spot = (row.lot_id, place_id)
            balance = balances.setdefault(spot, Balance(lot_id=row.lot_id, place_id=place_id))
            balance.quantity += change
            touched[spot] = balance
            if kind in YARD:
                lot.on_hand += change
            else:
                lot.at_sites += change
    check_left(draft, touched)
    for balance in touched.values():
        balance.save()
    for lot in draft.lots.values():
        lot.save(update_fields=["on_hand", "at_sites"])


def cost_rows(draft: Draft) -> list[Decimal | None]:
    """Return what each row posts to the job, None for kinds that post nothing."""
    if draft.reverses is not None:
        return mirrored_costs(draft)
    if draft.kind == PostingKind.ISSUE:
        costs = queries.lot_costs(list(draft.lots.values()))
        amounts = [costs[row.lot_id].take(row.quantity) for row in draft.rows]
    elif draft.kind == PostingKind.RETURN:
        assert draft.job_id is not None  # noqa: S101 - checked by check_rows
        shares = queries.job_shares(job_id=draft.job_id, lot_ids=draft.lots.keys())
        amounts = [
            shares.get(row.lot_id, JobShare()).bring_back(row.quantity) for row in draft.rows
        ]
    else:
        return [None] * len(draft.rows)
    keep_costed(draft)
    return list(amounts)


def mirrored_costs(draft: Draft) -> list[Decimal | None]:
    """Return the costs of the reversed movements, each of which must have its mirror.

    They are the very costs, but for a penny where others took the lot's last one meanwhile: a lot
    never costs jobs more than it cost, and a job that brought all back pays nothing.
    """
    assert draft.reverses is not None  # noqa: S101 - asked by cost_rows
    left: dict[tuple[int, int, int, int], list[Decimal | None]] = defaultdict(list)
    for move in draft.reverses.movements.all():
        left[move.lot_id, move.quantity, move.to_place_id, move.from_place_id].append(move.cost)
    costs: list[Decimal | None] = []
    for row in draft.rows:
        mirrors = left[row.lot_id, row.quantity, row.from_place_id, row.to_place_id]
        if not mirrors:
            raise ServiceError("This does not undo what was booked.", code="mirror")
        costs.append(mirrors.pop())
    if any(left.values()):
        raise ServiceError("A posting is undone whole.", code="mirror")
    if draft.kind not in {PostingKind.ISSUE, PostingKind.RETURN}:
        return costs
    known = [cost or Decimal(0) for cost in costs]
    if draft.kind == PostingKind.ISSUE:
        lots = queries.lot_costs(list(draft.lots.values()))
        amounts = [
            lots[row.lot_id].take_again(row.quantity, cost)
            for row, cost in zip(draft.rows, known, strict=True)
        ]
    else:
        assert draft.job_id is not None  # noqa: S101 - checked by check_rows
        shares = queries.job_shares(job_id=draft.job_id, lot_ids=draft.lots.keys())
        amounts = [
            shares.get(row.lot_id, JobShare()).give_back(row.quantity, cost)
            for row, cost in zip(draft.rows, known, strict=True)
        ]
    keep_costed(draft)
    return list(amounts)


def keep_costed(draft: Draft) -> None:
    """Keep the count of units whose cost lies with jobs."""
    sign = 1 if draft.kind == PostingKind.ISSUE else -1
    for row in draft.rows:
        lot = draft.lots[row.lot_id]
        lot.costed = max(lot.costed + sign * row.quantity, 0)
    for lot in draft.lots.values():
        lot.save(update_fields=["costed"])


def make_posting(**values: Any) -> Posting:
    """Write the posting; a key that another write took meanwhile is refused, not a crash."""
    try:
        with transaction.atomic():
            return Posting.objects.create(**values)
    except IntegrityError as error:
        raise KeyUsedError(
            "This page was sent twice at the same moment. Open it again and check what was booked."
        ) from error


def post_job_costs(
    posting: Posting,
    movements: Sequence[Movement],
    lots: Mapping[int, Lot],
    *,
    by: Any,
    at: datetime,
) -> None:
    """Post an issue's cost to its job, or credit a return's; one entry a movement."""
    sign = 1 if posting.kind == PostingKind.ISSUE else -1
    assert posting.job is not None  # noqa: S101 - checked by check_rows
    for move in movements:
        item = lots[move.lot_id].item
        quantity, unit = item.as_costed(move.quantity)
        post_cost(
            job=posting.job, kind=EntryKind.ACTUAL, category=Category.MATERIALS,
            what=f"{item.name}, {lots[move.lot_id].code}", amount=sign * (move.cost or Decimal(0)),
            quantity=sign * quantity, unit=unit, day=posting.day,
            source="stock.posting", source_id=posting.pk, key=f"stock.movement:{move.pk}",
            by=by, at=at,
        )  # fmt: skip
