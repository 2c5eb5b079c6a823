"""Depth of stone that holds the rain, and falls in every notation."""

from __future__ import annotations

from typing import Any

from jobs.kernel.templatetags import firm
from quotes.engine.errors import EngineError
from quotes.takeoff.forms import FallForm, RainFormSet, StorageForm, asked, rain_table
from quotes.takeoff.rules.planning import fall_words
from quotes.takeoff.rules.rain import storage_of
from quotes.takeoff.views.common import SEE, AskingPage, OfSurvey, steps_of


class WaterPage(OfSurvey, AskingPage):
    """Storage depth from a rainfall table that is typed in; nothing is kept."""

    permission = SEE
    template_name = "quotes/takeoff/water.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        told = "rain-ask" in self.request.GET
        data = self.request.GET if told else None
        form = StorageForm(data, prefix="rain")
        formset = RainFormSet(data, prefix="storm")
        storage, problem = None, ""
        if told and form.is_valid() and formset.is_valid():
            try:
                storage = storage_of(
                    rain_table(formset),
                    *(form.cleaned_data[k] for k in ("infiltration", "safety", "voids", "ratio")),
                )
            except EngineError as error:
                problem = f"{error.where}: {error.message}."
        fall_form = asked(FallForm, self.request, fall=self.found.fall or "1:80")
        typed = fall_form.cleaned_data["fall"] if fall_form.is_valid() else ""
        falls, refused = fall_words(typed) if typed else ([], "")
        if refused:
            fall_form.add_error("fall", refused)
        return super().get_context_data(
            title="Water", form=form, formset=formset, fall_form=fall_form, falls=falls,
            asked_forms=[form, formset, fall_form], storage=storage, problem=problem,
            by_duration=[(s / 60, 1000 * d) for s, d in storage.by_duration] if storage else [],
            facts=facts_of(storage) if storage else [],
            steps=steps_of(storage.workings) if storage else [], **kwargs,
        )  # fmt: skip


def facts_of(storage: Any) -> list[tuple[str, str]]:
    """Return the storage in words."""
    half = "nothing soaks away" if storage.half_empty is None else firm.length_of_time(
        round(storage.half_empty / 60)
    )  # fmt: skip
    worst = storage.worst
    return [
        ("depth of stone", f"{1000 * storage.depth:.0f} mm"),
        (
            "worst storm",
            f"{worst.duration / 60:g} min, {1000 * worst.depth:g} mm" if worst else "none",
        ),
        ("half empty after", half),
    ]
