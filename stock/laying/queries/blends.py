"""Which blend a bay is laid with, what a mix of it takes, and its kit as the engine wants it.

The yard knows no quote: a job's blends are the cards whose kit and components it requires.
"""

from __future__ import annotations

from collections.abc import Sequence

from django.db.models import F

from jobs.surveys.models import Area
from jobs.surveys.queries import measured_survey
from quotes.engine.cards import Kit
from stock.allocation.models import Requirement, StoodIn
from stock.catalogue.models import Blend, Item, Substitute
from stock.laying.rules import Wanted, fitting, whole_units

MINUTE = 60.0


def engine_kit(item: Item) -> Kit | None:
    """Return a kit as the engine wants it; None where the catalogue lacks its printed times."""
    if not item.working_min_20c or not item.cure_min_20c:
        return None
    return Kit(
        part_a_kg=(item.part_a_g or 0) / 1000,
        part_b_kg=(item.part_b_g or 0) / 1000,
        working_20_s=item.working_min_20c * MINUTE,
        cure_20_s=item.cure_min_20c * MINUTE,
        uv_stable=item.uv_stable,
        rain_safe_20_s=_seconds(item.rain_safe_min_20c),
        foot_20_s=_seconds(item.foot_min_20c),
        vehicle_20_s=_seconds(item.vehicle_min_20c),
        table=tuple(
            (float(degrees), float(working) * MINUTE, float(cure) * MINUTE)
            for degrees, working, cure in item.time_table
        ),
        season=item.season,
    )


def _seconds(minutes: int | None) -> float | None:
    return minutes * MINUTE if minutes else None


def fitting_blends(job_id: int, group: str = "") -> list[Blend]:
    """Return the blend cards that a job's requirements can be mixed to, for a colour group or all.

    Three queries whatever the job needs; a card that was put away still counts, since what it
    mixes was bought.
    """
    needs = list(
        Requirement.objects.filter(job_id=job_id, phase="lay", quantity__gt=0).values_list(
            "item_id", "colour_group"
        )
    )
    items = {item for item, _ in needs}
    cards = {
        card.pk: card
        for card in Blend.objects.filter(kit_id__in=items)
        .for_list()
        .order_by("archived_at", "name")
    }
    parts = {
        pk: (card.kit_id, frozenset(row.item_id for row in card.components.all()))
        for pk, card in cards.items()
    }
    return [cards[pk] for pk in fitting(parts, needs, group)]


def job_blends(job_id: int, group: str = "") -> list[Blend]:
    """Return the blends to choose from: those that fit the group, else the job, else all in use."""
    for found in (fitting_blends(job_id, group), fitting_blends(job_id) if group else []):
        if found:
            return found
    return list(Blend.objects.current().for_list())


def group_of_area(job_id: int, area_name: str) -> str:
    """Return the colour group of a measured area of the job; '' where nobody measured it."""
    survey = measured_survey(job_id) if area_name else None
    area = (
        Area.objects.filter(survey=survey, name=area_name)
        .select_related("pour__colour_group")
        .first()
        if survey
        else None
    )
    return area.group_name if area else ""


def kits_required(job_id: int) -> list[Item]:
    """Return the kits that a job requires for laying: one query."""
    rows = Item.objects.filter(
        requirements__job_id=job_id, requirements__phase="lay", kind="kit",
        requirements__quantity__gt=0,
    )  # fmt: skip
    return list(rows.distinct())


def job_kits(job_id: int) -> dict[str, Kit]:
    """Return the kits that the job is laid with, by name; those without printed times left out."""
    kits = {item.name: engine_kit(item) for item in kits_required(job_id)}
    return {name: kit for name, kit in kits.items() if kit is not None}


def wanted_by(blend: Blend, job_id: int) -> Sequence[Wanted]:
    """Return what one mix takes: a kit, and bags or parts of bags of each component.

    With each goes what was issued to the job in its place, whatever its card says today, and what
    may stand in for it, also what was put away since: it was issued.
    """
    wanted = {blend.kit_id: 1}
    for row in blend.components.all():
        wanted[row.item_id] = whole_units(row.bags, row.item.pack_quantity)
    stand_ins: dict[int, dict[int, None]] = {pk: {} for pk in wanted}
    issued = StoodIn.objects.filter(
        requirement__job_id=job_id, requirement__item_id__in=wanted
    ).values_list("requirement__item_id", "lot__item_id")
    allowed = Substitute.objects.filter(
        item_id__in=wanted, stand_in__base_unit=F("item__base_unit")
    ).values_list("item_id", "stand_in_id")
    for item_id, stand_in in [*issued, *allowed]:
        stand_ins[item_id][stand_in] = None
    return [Wanted(pk, quantity, tuple(stand_ins[pk])) for pk, quantity in wanted.items()]


def blend_mass_g(blend: Blend) -> int:
    """Return the mass of one mix in g: both parts of the kit and all bags."""
    resin = (blend.kit.part_a_g or 0) + (blend.kit.part_b_g or 0)
    return resin + sum(
        whole_units(row.bags, row.item.pack_mass_g) for row in blend.components.all()
    )
