"""The dry window, the last mix and the cure, drawn for a day from a forecast that is typed in."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.utils.safestring import SafeString

from jobs.kernel.charts import Span, draw_strip, draw_trace, wall
from jobs.kernel.clock import LONDON, london_day
from quotes.engine.drywindow import ForecastHour
from quotes.engine.errors import EngineError
from quotes.takeoff import queries
from quotes.takeoff.forms import DayForm, HourFormSet, asked, hour_lines
from quotes.takeoff.rules.day import KitDay, Laid, day_of, forecast_of, surface_of, wet_spans
from quotes.takeoff.views.common import AskingPage, OfSurvey, steps_of

CLOSED = {
    "rain": "rain", "dew": "dew", "temperature": "the kit's limits",
    "end of forecast": "the end of the forecast",
}  # fmt: skip
STAGES = (("rain_safe", "rain-safe"), ("foot", "on foot"), ("vehicles", "vehicles"))
EVERY_HOUR = 37


class DayPage(OfSurvey, AskingPage):
    """Strips of a day for each kit of the take-off."""

    permission = "jobs.view_work"
    template_name = "quotes/takeoff/day.html"

    def first_day(self) -> date:
        """Return the day of the address (`?day=2026-05-19`), or today."""
        try:
            return date.fromisoformat(self.request.GET.get("day", ""))
        except ValueError:
            return london_day(self.request.now)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        told = "hours-ask" in self.request.GET
        form = asked(DayForm, self.request, day=self.first_day())
        formset = HourFormSet(self.request.GET if told else None, prefix="hours")
        if "hourly" in self.request.GET:
            formset.extra = EVERY_HOUR
        found = queries.take_off(self.found)
        kits, forecast, problem = [], [], ""
        if told and form.is_valid() and formset.is_valid():
            forecast = forecast_of(form.cleaned_data["day"], hour_lines(formset), LONDON)
            try:
                kits = kit_days(found, forecast, form)
            except EngineError as error:
                problem = f"{error.message}"
        return super().get_context_data(
            title="A day: dry window and cure", form=form, formset=formset,
            asked_forms=[form, formset], take_off=found, problem=problem, forecast=forecast,
            traces=traces_of(forecast, kits), **kwargs,
            kits=[kit_context(kit, forecast) for kit in kits],
        )  # fmt: skip


def kit_days(found: Any, forecast: list[ForecastHour], form: Any) -> list[KitDay]:
    """Return the day of each kit of the take-off, each kit once."""
    if found.worked is None:
        return []
    kits: dict[Any, list[str]] = {}
    for name, blend in found.worked.found.request.blends.items():
        kits.setdefault((found.cards[name or ""].kit.name, blend.kit), []).append(name or "")
    return [
        day_of(f"{kit_name}, {', '.join(groups)}", kit, forecast, form.asked_for)
        for (kit_name, kit), groups in kits.items()
    ]


def kit_context(kit: KitDay, forecast: list[ForecastHour]) -> dict[str, Any]:
    """Return one kit as the page shows it."""
    workings = [said for window in kit.windows for said in window.workings]
    workings += [
        said for laid in kit.laid for stage, _ in STAGES
        for said in getattr(laid.hours, stage).workings
    ]  # fmt: skip
    return {
        "kit": kit,
        "strip": strip_of(kit, forecast),
        "laid": [
            {"laid": laid, "moments": [(word, laid.moment(stage)) for stage, word in STAGES]}
            for laid in kit.laid
        ],
        "windows": [(window, CLOSED[window.closes_by]) for window in kit.windows],
        "steps": steps_of(workings),
    }


def strip_of(kit: KitDay, forecast: list[ForecastHour]) -> SafeString:
    """Return the strip: rain, windows, and for the last mix what must wait."""
    start, end = forecast[0].at, forecast[-1].at
    spans = [Span(a, b, "stop", f"rain, {mm:g} mm") for a, b, mm in wet_spans(forecast)]
    spans += [Span(w.first_mix, w.closes, "", "dry") for w in kit.windows]
    spans += [Span(w.first_mix, w.last_mix, "ready", "start mixes") for w in kit.windows]
    for laid in kit.laid:
        if laid.word == "last mix":
            spans += waiting(laid, end)
    return draw_strip(start, end, spans, title=f"Dry window and cure: {kit.name}")


def waiting(laid: Laid, end: Any) -> list[Span]:
    """Return what must wait after the last mix: rain, feet, wheels."""
    words = ("last mix not rain-safe", "no feet", "no vehicles")
    return [
        Span(laid.placed, laid.moment(stage) or end, "look", word)
        for (stage, _), word in zip(STAGES, words, strict=True)
    ]


def traces_of(forecast: list[ForecastHour], kits: list[KitDay]) -> list[tuple[str, SafeString]]:
    """Return air, and surface where it is known, with the narrowest limits of the kits."""
    if not kits:
        return []
    low, high = max(kit.low for kit in kits), min(kit.high for kit in kits)
    lines = [("Air", [(hour.at, hour.air_degc) for hour in forecast])]
    if any(hour.surface_degc is not None for hour in forecast):
        lines.append(("Surface", [(hour.at, surface_of(hour)) for hour in forecast]))
    within = f"the kit may be laid from {low:g} to {high:g} °C"
    return [
        (f"{word}; {within}.", draw_trace(
            points, unit="°C", title=f"{word} from {wall(points[0][0])}", low=low, high=high,
            gap=timedelta(days=2),
        ))
        for word, points in lines
    ]  # fmt: skip
