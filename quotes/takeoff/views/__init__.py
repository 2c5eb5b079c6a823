"""Pages of the take-off, and those that only ask the engine."""

from quotes.takeoff.views.day import DayPage
from quotes.takeoff.views.pages import BlendsForm, TakeOffPage, WorkingsPage
from quotes.takeoff.views.planning import PlanningAnswersForm
from quotes.takeoff.views.tools import ToolsPage
from quotes.takeoff.views.water import WaterPage

__all__ = [
    "BlendsForm", "DayPage", "PlanningAnswersForm", "TakeOffPage", "ToolsPage", "WaterPage",
    "WorkingsPage",
]  # fmt: skip
