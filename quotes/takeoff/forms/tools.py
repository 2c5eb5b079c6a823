"""A person's tools of one day."""

from __future__ import annotations

from typing import Any

from django import forms

from quotes.engine.vibration import TYPICAL
from quotes.takeoff.forms.asking import lines_of, number
from quotes.takeoff.rules.tools import ToolLine


class ToolForm(forms.Form):
    """One tool: how long its trigger was held, and its vibration if the maker's is at hand."""

    use_required_attribute = False
    tool = forms.ChoiceField(
        label="tool",
        choices=[("", "choose a tool"), *((name, f"{name}, typically {value:g} m/s²")
                                          for name, value in TYPICAL.items())],
    )  # fmt: skip
    minutes = number("trigger held for", 0, 1440, unit="min")
    vibration = number(
        "the maker's figure", 0, 100, unit="m/s²", required=False,
        help_text="empty: the typical one",
    )  # fmt: skip


ToolFormSet = lines_of(ToolForm, 4)


def tool_lines(formset: Any) -> list[ToolLine]:
    """Return the lines of a formset that is valid."""
    return [ToolLine(each["tool"], each["minutes"], each["vibration"]) for each in formset.filled()]
