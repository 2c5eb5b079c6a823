"""Places with their latest reading, and what the readings of one say."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.shortcuts import get_object_or_404

from jobs.kernel.charts import draw_trace
from jobs.kernel.clock import LONDON
from jobs.kernel.lists import RoomListView
from jobs.kernel.templatetags.firm import celsius
from jobs.kernel.views import RoomPage
from stock.catalogue.models import Place
from stock.conditions import queries
from stock.conditions.filters import WatchedFilter
from stock.conditions.forms import EnergyForm
from stock.conditions.models import Excursion
from stock.conditions.queries import Exposure, PlaceSeries, instant
from stock.conditions.rules.kinetic import mean_kinetic_c, thin, time_weights
from stock.conditions.tables import WatchedTable

SEE = "jobs.view_yard"
MOVE = "jobs.move_stock"
SPANS = {"1": "24 h", "7": "7 days", "30": "30 days"}
MOST_POINTS = 600


class Places(RoomListView):
    permission = SEE
    title = "Conditions"
    template_name = "stock/conditions/list.html"
    table_class = WatchedTable
    filterset_class = WatchedFilter
    search_fields = ("name",)
    search_hint = "A bay or a van"
    empty = "No bays or vans yet. They are added among the places of the yard."

    def get_rows(self) -> Any:
        return queries.places_for_list()

    def get_table_kwargs(self) -> dict[str, Any]:
        may_add = self.request.user.has_perm(MOVE)
        return {"now": self.request.now, "exclude": () if may_add else ("add",)}


class OnePlace:
    """Finds the bay or van of the address, with its latest reading and limits."""

    kwargs: dict[str, Any]
    found_name = "place"

    def find(self) -> Place:
        return get_object_or_404(queries.places_for_list(), pk=self.kwargs["pk"])


class PlaceDetail(OnePlace, RoomPage):
    permission = SEE
    template_name = "stock/conditions/place.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        place: Any = self.found
        days = self.request.GET.get("days", "7")
        days = days if days in SPANS else "7"
        end = self.request.now
        series = queries.series_of(place, end - timedelta(days=int(days)), end)
        items = queries.items_in(place)
        level, word = queries.state_of(place, end)
        energy = EnergyForm(self.request.GET if "energy" in self.request.GET else None)
        return super().get_context_data(
            title=place.name,
            level=level,
            word=word,
            days=days,
            spans=SPANS.items(),
            span_words=SPANS[days],
            series=series,
            charts=charts_of(place, series),
            exposures=[exposure_words(row) for row in queries.exposures(series, items)],
            said=said_of(series),
            open=Excursion.objects.open().filter(place=place).select_related("item", "place"),
            energy=energy,
            kinetic=kinetic_of(series, energy),
            **kwargs,
        )


def charts_of(place: Any, series: PlaceSeries) -> list[tuple[Any, str]]:
    """Return the traces of temperature, with the tightest limits there, and of humidity."""
    gap = timedelta(hours=series.gap_hours)
    start = series.start.timestamp()
    shown = [row for row in series.kept.good if row.at >= start]
    charts: list[tuple[Any, str]] = []
    if len(shown) >= 2:
        svg = draw_trace(
            [(instant(row.at), row.value) for row in thin(shown, MOST_POINTS)], unit="°C",
            title=f"Temperature in {place}", low=queries.as_float(place.low),
            high=queries.as_float(place.high), gap=gap,
        )  # fmt: skip
        limits = place.low is not None or place.high is not None
        charts.append(
            (svg, "Temperature; the broken lines are the tightest limits of what lies here now."
             if limits else "Temperature; nothing that lies here has limits.")
        )  # fmt: skip
    if len(series.humidity) >= 2:
        step = max(1, len(series.humidity) // MOST_POINTS)
        svg = draw_trace(
            list(series.humidity[::step]), unit="%", title=f"Relative humidity in {place}", gap=gap
        )
        charts.append((svg, "Relative humidity."))
    return charts


def said_of(series: PlaceSeries) -> list[str]:
    """Return in sentences what the reckoning left out."""
    said = []
    if series.gaps:
        count = len(series.gaps)
        said.append(
            f"{count} {'gap' if count == 1 else 'gaps'} of more than {series.gap_hours} h between "
            f"readings, {series.gap_total:.1f} h in all: nothing is known of these hours."
        )
    if series.kept.spikes:
        rows = [
            f"{celsius(round(row.value, 2))} on {instant(row.at).astimezone(LONDON):%a %d %b %H:%M}"
            for row in series.kept.spikes
        ]
        more = f" and {len(rows) - 5} more" if len(rows) > 5 else ""
        said.append(
            f"Left out as single bad readings, since they leap away from both neighbours: "
            f"{', '.join(rows[:5])}{more}."
        )
    if series.kept.unsettled is not None:
        said.append(
            f"The last reading, {celsius(round(series.kept.unsettled.value, 2))}, leaps away from "
            "the one before; it counts once the next one bears it out."
        )
    return said


def exposure_words(row: Exposure) -> dict[str, Any]:
    """Return an item's line: its limits, hours beyond each, and whether that is over."""
    item = row.item
    return {
        "item": item, "over": row.is_over, "allowed": item.store_hours_allowed,
        "above": row.above, "below": row.below,
    }  # fmt: skip


def kinetic_of(series: PlaceSeries, energy: EnergyForm) -> dict[str, Any] | None:
    """Return the mean kinetic temperature where it was asked for and there are readings."""
    if not energy.is_bound or not energy.is_valid() or not series.kept.good:
        return None
    start = series.start.timestamp()
    good = [row for row in series.kept.good if row.at >= start]
    if not good:
        return None
    weights = time_weights(good, gap_hours=series.gap_hours)
    value = mean_kinetic_c(
        [row.value for row in good], weights, energy=float(energy.cleaned_data["energy"])
    )
    return {"value": round(value, 2), "count": len(good)}
