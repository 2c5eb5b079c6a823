"""Forms of the take-off: what is saved, and what is only asked of the engine."""

from quotes.takeoff.forms.asking import asked
from quotes.takeoff.forms.blends import BlendForm
from quotes.takeoff.forms.day import DayForm, HourFormSet, hour_lines
from quotes.takeoff.forms.planning import PlanningForm
from quotes.takeoff.forms.site import KitForm, PaceForm
from quotes.takeoff.forms.tools import ToolFormSet, tool_lines
from quotes.takeoff.forms.water import FallForm, RainFormSet, StorageForm, rain_table

__all__ = [
    "BlendForm", "DayForm", "FallForm", "HourFormSet", "KitForm", "PaceForm", "PlanningForm",
    "RainFormSet", "StorageForm", "ToolFormSet", "asked", "hour_lines", "rain_table", "tool_lines",
]  # fmt: skip
