"""The pages of the lay day."""

from stock.laying.views.day import AcceptBase, CloseDay, Evening, LayDayPage, ReopenDay
from stock.laying.views.lists import (
    Answer,
    Differences,
    LayDays,
    OpenDay,
    Sheet,
    SheetPdf,
)
from stock.laying.views.mixes import AddBay, BayFull, LogMix, MarkSpilt, UndoMix

__all__ = [
    "AcceptBase", "AddBay", "Answer", "BayFull", "CloseDay", "Differences", "Evening",
    "LayDayPage", "LayDays", "LogMix", "MarkSpilt", "OpenDay", "ReopenDay", "Sheet", "SheetPdf",
    "UndoMix",
]  # fmt: skip
