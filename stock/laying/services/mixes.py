"""Bays and mixes: one tap logs a mix and moves what it is made of from the site into the surface.

A laid mix is a fact: want of stock never refuses it. Then the mix stands without a posting, and a
difference asks the storeman, who books it when the missing issue is found.
"""

from __future__ import annotations

import re
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid5

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from jobs.audit.services import post_event
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError
from stock.catalogue.enums import PlaceKind
from stock.catalogue.models import Blend, Item
from stock.laying import queries
from stock.laying.enums import MixState
from stock.laying.models import Discrepancy, LayBay, LayDay, Mix
from stock.laying.rules import MOST_M2, draw_lots
from stock.laying.services.locks import check_words, lock_day, need_open
from stock.ledger.enums import PostingKind
from stock.ledger.models import Posting
from stock.ledger.queries import place
from stock.ledger.rules import pack_words
from stock.ledger.services import Row, lock_lots, post_movements

# -- bays --------------------------------------------------------------------------------------


@transaction.atomic(durable=True)
def add_bay(
    *, lay_day_id: int, name: str, by: Any, at: datetime, area_name: str = "",
    blend_id: int | None = None,
) -> LayBay:  # fmt: skip
    """Add a bay to a day; its blend is the one that fits the area, asked for where several do."""
    day = lock_day(lay_day_id)
    need_open(day)
    # Pages write 'bay' before the name, whoever typed it as well.
    name = re.sub(r"^bay\s+", "", " ".join(name.split()), flags=re.IGNORECASE)
    if LayBay.objects.filter(lay_day=day, name__iexact=name).exists():
        raise ServiceError(f"Bay {name} is there already; give another name.", field="name")
    area_name = " ".join(area_name.split())
    blend = blend_for(day, area_name, blend_id)
    bay = LayBay(lay_day=day, name=name, area_name=area_name, blend=blend)
    try:
        bay.full_clean(exclude=["blend"])
    except ValidationError as error:
        field, sentences = next(iter(error.message_dict.items()))
        raise ServiceError(sentences[0], field=field) from error
    bay.save()
    post_event(
        verb="lay.add_bay", subject=day, by=by, at=at,
        after={"bay": bay.name, "area": area_name, "blend": blend.pk},
    )  # fmt: skip
    return bay


def blend_for(day: LayDay, area_name: str, blend_id: int | None) -> Blend:
    """Return the blend of a bay: the one given, or the only one that fits."""
    if blend_id is not None:
        given = Blend.objects.filter(pk=blend_id).first()
        if given is None:
            raise ServiceError("This blend is not in the book.", field="blend")
        return given
    found = queries.job_blends(day.job_id, queries.group_of_area(day.job_id, area_name))
    if len(found) == 1:
        return found[0]
    raise ServiceError(
        "Say with which blend this bay is laid."
        if found
        else "There is no blend card yet; the yard must add one before a mix can be logged.",
        field="blend", code="blend",
    )  # fmt: skip


@transaction.atomic(durable=True)
def bay_full(*, bay_id: int, area_m2: Decimal, by: Any, at: datetime) -> LayBay:
    """Note that a bay is full, with its measured m²; called again it corrects the figure."""
    bay = LayBay.objects.filter(pk=bay_id).first()
    if bay is None:
        raise ServiceError("This bay is not in the book.", code="bay")
    day = lock_day(bay.lay_day_id)
    need_open(day)
    bay.refresh_from_db()
    if not 0 < area_m2 <= MOST_M2:
        raise ServiceError(
            f"A bay has more than 0 and at most {MOST_M2:,} m². Measure it again.", field="area_m2"
        )
    before = bay.area_m2
    bay.area_m2 = area_m2
    bay.full_at = bay.full_at or at
    bay.save(update_fields=["area_m2", "full_at"])
    post_event(
        verb="lay.bay_full", subject=day, by=by, at=at,
        before=None if before is None else {"bay": bay.name, "m2": str(before)},
        after={"bay": bay.name, "m2": str(area_m2)},
    )  # fmt: skip
    return bay


# -- mixes -------------------------------------------------------------------------------------


@transaction.atomic(durable=True)
def log_mix(
    *, lay_day_id: int, bay_id: int, uid: UUID, started_at: datetime, by: Any, at: datetime,
    lock: bool = True,
) -> Mix:  # fmt: skip
    """Log a mix that was started, and move what it is made of from the site into the surface.

    The same `uid` returns the mix that stands; with another bay it raises KeyUsedError. Mixes of a
    day are numbered 1, 2, 3 … under the day's lock. Refused only where the base was not accepted
    or the bay is not of this day: never for stock, and not after the day was closed (a difference
    then says so). `lock=False` is for the race test's control only.
    """
    # long because: one write that must never be refused half-way
    day = lock_day(lay_day_id, lock=lock)
    done = Mix.objects.filter(uid=uid).select_related("bay", "posting").first()
    if done is not None:
        if (done.lay_day_id, done.bay_id) != (lay_day_id, bay_id):
            raise KeyUsedError(
                f"This tap was logged already as mix {done.number} in bay {done.bay}. "
                "Open the page again."
            )
        return done
    if day.base_accepted_at is None:
        raise ServiceError("Accept the base before mix 1.", code="base")
    bay = LayBay.objects.for_page(day).filter(pk=bay_id).first()
    if bay is None or bay.blend is None:
        raise ServiceError("Choose a bay of this day.", field="bay", code="bay")
    top = Mix.objects.standing().filter(lay_day=day).aggregate(top=Max("number"))["top"]
    mix = Mix.objects.create(
        uid=uid, lay_day=day, bay=bay, blend=bay.blend, number=(top or 0) + 1,
        # A phone's clock that runs ahead does not give a mix more time than it has.
        started_at=min(started_at, at), logged_at=at, by=by,
    )  # fmt: skip
    post_mix_stock(mix, by=by, at=at)
    if day.closed_at is not None:
        Discrepancy.objects.create(
            lay_day=day, mix=mix, found_at=at,
            what=f"Mix {mix.number} was logged after the day was closed.",
        )  # fmt: skip
    post_event(
        verb="lay.mix", subject=day, by=by, at=at, after={"mix": mix.number, "bay": bay.name}
    )
    return mix


def post_mix_stock(mix: Mix, *, by: Any, at: datetime) -> Posting | None:
    """Move what a mix is made of out of the site, all of it or nothing; say what is missing.

    Where an item was short and a stand-in was issued, the stand-in is what was mixed.
    """
    day = mix.lay_day
    wanted = queries.wanted_by(mix.blend, day.job_id)
    items = {pk for need in wanted for pk in (need.item_id, *need.stand_ins)}
    lock_lots({lot.lot_id for lot in queries.site_lots(day.job_id, items)})
    drawn = draw_lots(wanted, queries.site_lots(day.job_id, items))
    if drawn.missing:
        named = Item.objects.in_bulk(drawn.missing)
        missing = ", ".join(
            f"{pack_words(quantity, named[pk].pack_quantity, named[pk].pack_name)} of {named[pk]}"
            for pk, quantity in sorted(drawn.missing.items())
        )
        check_words(
            Discrepancy(
                lay_day=day, mix=mix, found_at=at,
                what=f"Mix {mix.number} is not booked: by the book the site lacks {missing}.",
            )
        ).save()  # fmt: skip
        return None
    spilt = mix.state == MixState.SPILT
    site = place(PlaceKind.SITE, day.job)
    end = place(PlaceKind.WASTE if spilt else PlaceKind.LAID)
    posting = post_movements(
        key=uuid5(mix.uid, "spilt") if spilt else mix.uid,
        kind=PostingKind.WASTE if spilt else PostingKind.LAY,
        rows=[Row(lot_id, part, site.pk, end.pk) for lot_id, part in drawn.parts],
        job_id=day.job_id, day=day.day, by=by, at=at,
        reason=f"mix {mix.number} spilt" if spilt else f"mix {mix.number}, bay {mix.bay}",
    )  # fmt: skip
    mix.posting = posting
    mix.save(update_fields=["posting"])
    return posting


def undo_stock(mix: Mix, *, by: Any, at: datetime, reason: str) -> None:
    """Bring a mix's material back to the site by the counter-movement of its posting."""
    if mix.posting is None:
        return
    first = mix.posting
    post_movements(
        key=uuid5(first.key, "undone"), kind=first.kind, job_id=first.job_id, day=first.day,
        by=by, at=at, reason=reason, reverses=first,
        rows=[
            Row(move.lot_id, move.quantity, move.to_place_id, move.from_place_id)
            for move in first.movements.all()
        ],
    )  # fmt: skip


def locked_mix(mix_id: int) -> Mix:
    """Lock a mix's day and return the mix as it is now, or refuse."""
    found = Mix.objects.filter(pk=mix_id).first()
    if found is None:
        raise ServiceError("This mix is not in the book.", code="mix")
    lock_day(found.lay_day_id)
    return (
        Mix.objects.select_related("lay_day__job", "bay", "blend__kit", "posting")
        .prefetch_related("blend__components__item")
        .get(pk=mix_id)
    )


@transaction.atomic(durable=True)
def undo_mix(*, mix_id: int, by: Any, at: datetime) -> Mix:
    """Take back the last mix, logged by mistake; its material is at the site again.

    Only the last one: the others keep their numbers. Undone twice it stays undone.
    """
    mix = locked_mix(mix_id)
    if mix.state == MixState.VOID:
        return mix
    need_open(mix.lay_day)
    if Mix.objects.standing().filter(lay_day=mix.lay_day, number__gt=mix.number).exists():
        raise ServiceError(
            f"Only the last mix can be undone; mix {mix.number} is not the last.", code="not_last"
        )
    undo_stock(mix, by=by, at=at, reason=f"mix {mix.number} logged by mistake")
    mix.state = MixState.VOID
    mix.save(update_fields=["state"])
    settle_open(mix, by=by, at=at, answer="The mix was logged by mistake and is undone.")
    post_event(verb="lay.undo_mix", subject=mix.lay_day, by=by, at=at, after={"mix": mix.number})
    return mix


@transaction.atomic(durable=True)
def mark_spilt(*, mix_id: int, by: Any, at: datetime) -> Mix:
    """Mark a mix as spilt: its material is waste, not surface, and does not count for a bay."""
    mix = locked_mix(mix_id)
    if mix.state == MixState.SPILT:
        return mix
    need_open(mix.lay_day)
    if mix.state == MixState.VOID:
        raise ServiceError("This mix was undone; there is nothing to spill.", code="void")
    posted = mix.posting
    undo_stock(mix, by=by, at=at, reason=f"mix {mix.number} was spilt, not laid")
    mix.state, mix.posting = MixState.SPILT, None
    mix.save(update_fields=["state", "posting"])
    if posted is not None:
        post_mix_stock(mix, by=by, at=at)
    post_event(verb="lay.spilt", subject=mix.lay_day, by=by, at=at, after={"mix": mix.number})
    return mix


def settle_open(mix: Mix, *, by: Any, at: datetime, answer: str) -> None:
    """Answer the open differences of a mix that has none any more."""
    Discrepancy.objects.filter(mix=mix, answered_at=None).update(
        answered_at=at, answered_by=by, answer=answer
    )
