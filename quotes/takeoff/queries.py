"""Reading a survey's take-off: measured areas, chosen blends and settings meet the engine here."""

from __future__ import annotations

from typing import Any

from jobs.calendar.enums import ResourceKind
from jobs.calendar.models import Resource
from jobs.surveys.models import Area, ColourGroup, Survey
from jobs.surveys.queries import sheets_of, survey_document, totals_of
from quotes.takeoff import rules
from quotes.takeoff.models import (
    PLANNING_QUESTIONS,
    BlendChoice,
    PlanningAnswers,
    TakeOffSettings,
)
from quotes.takeoff.rules import Card, Need, Pack, Problem, Settings, TakeOff
from quotes.takeoff.rules.planning import PlanningSheet, planning_of
from quotes.takeoff.rules.site import Vehicle
from stock.catalogue.models import Blend, Item

__all__ = ["Need", "TakeOff", "needs_of", "planning_sheet", "take_off"]
needs_of = rules.needs_of

TIMES = (
    ("rain_safe_20c", "rain_safe_min_20c"),
    ("foot_time_20c", "foot_min_20c"),
    ("vehicle_time_20c", "vehicle_min_20c"),
)


class CardError(ValueError):
    """A blend card that lacks a figure; the sentence says which."""


def pack_of(item: Item) -> Pack:
    """Return an item as it is bought."""
    return Pack(
        item.pk, item.name, item.kind, item.pack_name, item.pack_quantity, item.pack_mass_g,
        item.base_unit, item.run_matched, item.packs_per_pallet,
    )  # fmt: skip


def kit_document(kit: Item) -> dict[str, Any]:
    """Return a kit in the engine's words; CardError where its data sheet's times are missing."""
    if not kit.working_min_20c or not kit.cure_min_20c:
        raise CardError(
            f"'{kit}' has no working or curing time in the catalogue; copy them from its data "
            "sheet."
        )
    found: dict[str, Any] = {
        "part_a": f"{kit.part_a_g} g",
        "part_b": f"{kit.part_b_g} g",
        "working_time_20c": f"{kit.working_min_20c} min",
        "cure_time_20c": f"{kit.cure_min_20c} min",
        "uv_stable": kit.uv_stable,
    }
    for key, name in TIMES:
        if getattr(kit, name):
            found[key] = f"{getattr(kit, name)} min"
    if kit.time_table:
        found["table"] = [
            [f"{degrees} degC", f"{working} min", f"{cure} min"]
            for degrees, working, cure in kit.time_table
        ]
    return found


def card_of(blend: Blend) -> Card:
    """Return a blend card; its kit and components should be fetched with it."""
    components = [(pack_of(row.item), row.bags, row.item) for row in blend.components.all()]
    names = [pack.name for pack, _, _ in components]
    document: dict[str, Any] = {
        "kit": kit_document(blend.kit),
        "components": [
            {
                "name": pack.name if names.count(pack.name) == 1 else f"{pack.name}, {item.code}",
                "bag": f"{pack.pack_quantity} g",
                "bags": float(bags),
            }
            | ({"max_size": f"{item.size_high_mm} mm"} if item.size_high_mm else {})
            for pack, bags, item in components
        ],
    }
    if blend.yield_area_m2 and blend.yield_depth_mm:
        document["yield"] = {
            "area": f"{blend.yield_area_m2} m^2", "depth": f"{blend.yield_depth_mm} mm",
        }  # fmt: skip
    if blend.compacted_density:
        document["compacted_density"] = f"{blend.compacted_density} kg/m^3"
    packs = tuple((pack, bags) for pack, bags, _ in components)
    return Card(
        blend.pk, blend.name, pack_of(blend.kit), packs, document, blend.kit.uv_stable,
        blend.mix_seconds,
    )  # fmt: skip


def settings_of(survey: Survey) -> Settings:
    """Return what the survey's take-off reckons with; the defaults where nobody chose."""
    row = TakeOffSettings.objects.filter(survey=survey).first()
    if row is None:
        return Settings()
    return Settings(row.waste_percent, row.air_c, row.part_mixes, row.spare_mixes)


def choices_of(survey: Survey) -> dict[str, BlendChoice]:
    """Return the chosen blend by the name of the colour group."""
    rows = (
        BlendChoice.objects.filter(colour_group__survey=survey)
        .select_related("colour_group", "blend__kit")
        .prefetch_related("blend__components__item")
    )
    return {row.colour_group.name: row for row in rows}


def groups_of(survey: Survey) -> list[ColourGroup]:
    """Return the colour groups that have areas, in their order."""
    used = ColourGroup.objects.filter(survey=survey, pours__areas__isnull=False)
    return list(used.distinct().order_by("pk"))


def take_off(survey: Survey | None) -> TakeOff:
    """Return the take-off of a survey, worked out afresh from what stands in the database.

    Without areas, blends or sense in the measurements there is no answer, and `problem` says why.
    Where nothing is measured at all (None: small jobs alone) there is neither.
    """
    if survey is None:
        return TakeOff({}, {})
    areas = survey_document(survey)
    settings = settings_of(survey)
    if not areas:
        return _without(settings, "The survey has no measured areas yet.")
    choices = choices_of(survey)
    missing = sorted({area["colour_group"] for area in areas} - set(choices))
    if missing:
        return _without(settings, f"No blend is chosen yet for: {', '.join(missing)}.")
    try:
        cards = {name: card_of(choices[name].blend) for name in used_groups(areas)}
    except CardError as error:
        return _without(settings, str(error))
    edging = dict(Area.objects.filter(survey=survey).values_list("name", "edging"))
    return rules.reckon(areas, cards, settings, edging)


def used_groups(areas: list[dict[str, Any]]) -> list[str]:
    """Return the names of the areas' colour groups, each once, in order."""
    return list(dict.fromkeys(str(area["colour_group"]) for area in areas))


def _without(settings: Settings, message: str) -> TakeOff:
    return TakeOff({}, {}, settings, problem=Problem(message))


def planning_answers(survey: Survey) -> PlanningAnswers:
    """Return what was asked beside the survey, all unknown where nobody has asked."""
    row = PlanningAnswers.objects.filter(survey=survey).first()
    return row or PlanningAnswers(survey=survey)


def planning_sheet(survey: Survey, area_m2: float | None = None) -> PlanningSheet | None:
    """Return the planning question of a survey, None while nothing is measured.

    area_m2: the surface, where the caller has worked it out already.
    """
    row = planning_answers(survey)
    if row.front_m2 is not None:
        area_m2 = float(row.front_m2)
    if area_m2 is None:
        area_m2 = totals_of(sheets_of(survey)).area_m2
    answers = {name: str(getattr(row, name)) for name in ("nation", *PLANNING_QUESTIONS)}
    return planning_of(survey.base_kind, survey.front_garden, area_m2, answers)


def resources() -> tuple[list[Vehicle], int]:
    """Return the firm's vehicles with their usable payload, and how many mixers it has."""
    kinds = (ResourceKind.VEHICLE, ResourceKind.MIXER)
    rows = list(Resource.objects.filter(kind__in=kinds, archived_at=None).order_by("name"))
    vehicles = [
        Vehicle(row.name, float(row.payload_kg) if row.payload_kg else None)
        for row in rows if row.kind == ResourceKind.VEHICLE
    ]  # fmt: skip
    return vehicles, len(rows) - len(vehicles)


def sizes_of(found: TakeOff) -> dict[int, tuple[float | None, float | None]]:
    """Return the stone sizes (mm) of a take-off's components by item, as the catalogue has them."""
    items = {pack.item_id for card in found.cards.values() for pack, _ in card.components}
    rows = Item.objects.filter(pk__in=items).values_list("pk", "size_low_mm", "size_high_mm")
    return {
        pk: (float(low) if low else None, float(high) if high else None) for pk, low, high in rows
    }
