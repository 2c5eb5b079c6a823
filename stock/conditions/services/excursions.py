"""Excursions: found by a sweep that is safe to repeat, held at once, answered by a person."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime, timedelta
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from django.db import transaction
from django.db.models import Max, Min

from jobs.audit.services import post_event
from jobs.kernel.clock import LONDON
from jobs.kernel.errors import ServiceError
from stock.catalogue.models import Item, Place
from stock.conditions import queries
from stock.conditions.enums import Outcome, Side
from stock.conditions.models import Excursion, ExcursionLot, Reading, Watch
from stock.conditions.rules.series import (
    HOUR,
    REST_HOURS,
    Period,
    Sample,
    keep_good,
    periods_of,
    stretches_beyond,
)
from stock.conditions.rules.stays import hours_there, stays_of
from stock.conditions.services.readings import lock_watch
from stock.ledger.enums import LotStatus
from stock.ledger.models import Lot
from stock.ledger.services import lock_lots, post_hold, post_release

# How far before the newest readings a period may reach back.
LOOK_BACK = timedelta(days=30)
Exposed = list[tuple[Lot, float, int]]


def sweep_excursions(*, at: datetime) -> int:
    """Check every place with new readings; returns how many excursions are new or grew."""
    waiting = Watch.objects.filter(dirty_from__isnull=False).order_by("pk")
    return sum(
        check_place(place_id=pk, at=at) for pk in list(waiting.values_list("place_id", flat=True))
    )


@transaction.atomic(durable=True)
def check_place(*, place_id: int, at: datetime, lock: bool = True) -> int:
    """Find what lay beyond its hours in a place, and hold it; nothing to do where nothing is new.

    The watch row is claimed by its lock, so that of two sweeps the second finds the work done.
    `lock=False` is for the race tests' control only.
    """
    watch = lock_watch(place_id, lock=lock)
    if watch.dirty_from is None:
        return 0
    place = Place.objects.get(pk=place_id)
    since = start_of_check(place, watch.dirty_from)
    rows = Reading.objects.used().filter(place=place, at__gte=since).order_by("at")
    kept = keep_good(queries.samples_of(rows.values_list("at", "celsius")))
    changed = 0
    if kept.good:
        changed = check_items(watch, place, kept.good, since=since, at=at)
    watch.dirty_from, watch.checked_at = None, at
    watch.save(update_fields=["dirty_from", "checked_at"])
    return changed


def start_of_check(place: Place, dirty_from: datetime) -> datetime:
    """Return from when on to reckon: far enough back for the hours of a period that goes on."""
    since = dirty_from - LOOK_BACK
    begun = (
        Excursion.objects.open()
        .filter(place=place, ended_at__gte=since)
        .aggregate(first=Min("started_at"))["first"]
    )
    return since if begun is None else min(since, begun - timedelta(hours=REST_HOURS))


def check_items(
    watch: Watch, place: Place, good: Sequence[Sample], *, since: datetime, at: datetime
) -> int:
    """Check each item that lay there against its limits; returns how many excursions changed."""
    lots = queries.lots_since(place, since)
    moves = queries.changes_of(place, lots)
    by_item: dict[Item, list[Lot]] = defaultdict(list)
    for lot in lots:
        by_item[lot.item].append(lot)
    answered = {
        (row["item_id"], row["side"]): row["last"]
        for row in Excursion.objects.filter(place=place, answered_at__isnull=False)
        .order_by()
        .values("item_id", "side")
        .annotate(last=Max("answered_at"))
    }
    changed = 0
    for item, its_lots in by_item.items():
        for side in Side.values:
            limit = queries.limit_of(item, side)
            if limit is None:
                continue
            # What was answered counts anew from the answer on.
            start = max(since, answered.get((item.pk, side), since))
            stretches = stretches_beyond(
                good, float(limit), high=side == Side.HIGH, gap_hours=watch.gap_hours,
                start=start.timestamp(),
            )  # fmt: skip
            for period in periods_of(stretches, high=side == Side.HIGH):
                exposed = exposed_lots(item, its_lots, moves, period)
                if exposed:
                    changed += record_excursion(place, item, side, period, exposed, at=at)
    return changed


def exposed_lots(
    item: Item, lots: Sequence[Lot], moves: dict[int, list[tuple[float, int]]], period: Period
) -> Exposed:
    """Return (lot, hours, most) of the lots that lay there longer than their item allows."""
    found = []
    for lot in lots:
        stays = stays_of(moves.get(lot.pk, []), end=period.end)
        hours, most = hours_there(period.stretches, stays)
        if hours > item.store_hours_allowed + 1 / HOUR:
            found.append((lot, hours, most))
    return found


def record_excursion(
    place: Place, item: Item, side: str, period: Period, exposed: Exposed, *, at: datetime
) -> bool:
    """Keep one open excursion for an item, place and period, and hold lots not yet held for it.

    Returns whether anything changed.
    """
    rest = timedelta(hours=REST_HOURS)
    start, end = queries.instant(period.start), queries.instant(period.end)
    values = {
        "limit_c": queries.limit_of(item, side), "hours_allowed": item.store_hours_allowed,
        "hours": hundredths(max(hours for _, hours, _ in exposed)),
        "extreme_c": hundredths(period.extreme), "started_at": start, "ended_at": end,
    }  # fmt: skip
    excursion = (
        Excursion.objects.open()
        .filter(place=place, item=item, side=side)
        .filter(started_at__lt=end + rest, ended_at__gt=start - rest)
        .order_by("started_at")
        .first()
    )
    if excursion is None:
        excursion = Excursion.objects.create(
            place=place, item=item, side=side, found_at=at, **values
        )
        post_event(
            verb="conditions.excursion", subject=excursion, by=None, at=at,
            after={"hours": values["hours"], "lots": [lot.code for lot, _, _ in exposed]},
        )  # fmt: skip
        changed = True
    else:
        changed = any(getattr(excursion, name) != value for name, value in values.items())
        for name, value in values.items():
            setattr(excursion, name, value)
        excursion.save()
    return post_exposed(excursion, exposed, at=at) or changed


def post_exposed(excursion: Excursion, exposed: Exposed, *, at: datetime) -> bool:
    """Write each lot's hours, and hold the lots that are new to the excursion."""
    there = {row.lot_id: row for row in excursion.lots.all()}
    fresh = {lot.pk for lot, _, _ in exposed} - there.keys()
    locked = lock_lots(fresh)
    for lot, hours, most in exposed:
        row = there.get(lot.pk) or ExcursionLot(excursion=excursion, lot=lot)
        row.hours, row.quantity = hundredths(hours), most
        if lot.pk in fresh:
            held = locked[lot.pk]
            if held.status == LotStatus.HELD:
                row.note = f"Held already: {held.held_reason}"[:200]
            elif not held.on_hand and not held.at_sites:
                row.note = "Nothing of it is left in the yard or at a site."
            else:
                row.held_reason = hold_words(excursion, hours)
                post_hold(lot=held, reason=row.held_reason, by=None, at=at)
        row.save()
    return bool(fresh)


def hold_words(excursion: Excursion, hours: float) -> str:
    """Return why a lot is held, as the yard reads it."""
    day = excursion.started_at.astimezone(LONDON)
    return (
        f"{hours:.1f} h {excursion.get_side_display()} {excursion.limit_c} °C in "
        f"{excursion.place} from {day:%d %b %Y} ({excursion.hours_allowed} h allowed); "
        "ask the maker, see the data sheet"
    )[:200]


def hundredths(value: float) -> Decimal:
    return Decimal(value).quantize(Decimal("0.01"), ROUND_HALF_UP)


@transaction.atomic(durable=True)
def answer_excursion(
    *, excursion_id: int, outcome: str, finding: str, by: Any, at: datetime
) -> tuple[Excursion, list[str]]:
    """Answer an excursion with what was found; returns it with sentences on what stays held.

    `released` releases the lots that excursions hold, unless another open one has them or their
    date is past; `kept` leaves them held. Hours after the answer count anew.
    """
    place_id = Excursion.objects.values_list("place_id", flat=True).get(pk=excursion_id)
    lock_watch(place_id)
    excursion = (
        Excursion.objects.select_for_update(of=("self",), no_key=True)
        .select_related("place", "item")
        .get(pk=excursion_id)
    )
    finding = " ".join(finding.split())
    if not finding:
        raise ServiceError("Say what was found, and who of the maker said so.", field="finding")
    if excursion.answered_at is not None:
        raise ServiceError("This was answered already.", code="answered")
    excursion.outcome, excursion.finding = Outcome(outcome), finding[:200]
    excursion.answered_at, excursion.answered_by = at, by
    excursion.save()
    stays = []
    if outcome == Outcome.RELEASED:
        stays = release_lots(excursion, finding=finding, by=by, at=at)
    post_event(
        verb="conditions.answer", subject=excursion, by=by, at=at, reason=finding,
        after={"outcome": outcome},
    )  # fmt: skip
    return excursion, stays


def release_lots(excursion: Excursion, *, finding: str, by: Any, at: datetime) -> list[str]:
    """Release an answered excursion's lots; returns a sentence for each that stays held."""
    ids = set(excursion.lots.values_list("lot_id", flat=True))
    elsewhere = set(
        ExcursionLot.objects.filter(lot_id__in=ids, excursion__answered_at=None).values_list(
            "lot_id", flat=True
        )
    )
    ours = set(
        ExcursionLot.objects.filter(lot_id__in=ids)
        .exclude(held_reason="")
        .values_list("lot_id", "held_reason")
    )
    stays = []
    for lot in lock_lots(ids).values():
        if lot.status != LotStatus.HELD:
            continue
        if (lot.pk, lot.held_reason) not in ours:
            stays.append(f"{lot.code} stays held: {lot.held_reason}.")
        elif lot.pk in elsewhere:
            stays.append(f"{lot.code} stays held: another excursion of it is open.")
        else:
            try:
                post_release(lot=lot, reason=finding, by=by, at=at)
            except ServiceError as refusal:
                stays.append(refusal.message)
    return stays
