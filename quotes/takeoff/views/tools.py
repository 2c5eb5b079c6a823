"""A person's day with tools that shake."""

from __future__ import annotations

from typing import Any

from quotes.engine.errors import EngineError
from quotes.takeoff.forms import ToolFormSet, tool_lines
from quotes.takeoff.rules.tools import ToolDay, tool_day
from quotes.takeoff.views.common import AskingPage, notes_of, steps_of


class ToolsPage(AskingPage):
    """A(8) and points from the tools of one person's day, for the crew."""

    permission = "jobs.view_work"
    template_name = "quotes/takeoff/tools.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        asked = "ask" in self.request.GET
        formset = ToolFormSet(self.request.GET if asked else None, prefix="tools")
        found, problem = None, ""
        if asked and formset.is_valid() and tool_lines(formset):
            try:
                found = tool_day(tool_lines(formset))
            except EngineError as error:
                problem = f"{error.where}: {error.message}."
        return super().get_context_data(
            title="Vibration of a day's tools", formset=formset, asked_forms=[formset], found=found,
            problem=problem, notes=notes_of(found.cautions) if found else [],
            a8=f"{found.exposure.a8:.2f}" if found else "", level=level_of(found),
            steps=steps_of(found.exposure.workings) if found else [], **kwargs,
        )  # fmt: skip


def level_of(found: ToolDay | None) -> str:
    """Return how hard the day's exposure is."""
    if found is None or not found.exposure.over_action:
        return ""
    return "stop" if found.exposure.over_limit else "look"
