"""The pages of the lay day."""

from stock.laying.views.day import (
    AcceptBase,
    AddBay,
    BayFull,
    CloseDay,
    Evening,
    LayDayPage,
    LogMix,
    MarkSpilt,
    ReopenDay,
    UndoMix,
)
from stock.laying.views.lists import (
    Answer,
    Differences,
    LayDays,
    OpenDay,
    Sheet,
    SheetPdf,
)

__all__ = [
    "AcceptBase", "AddBay", "Answer", "BayFull", "CloseDay", "Differences", "Evening",
    "LayDayPage", "LayDays", "LogMix", "MarkSpilt", "OpenDay", "ReopenDay", "Sheet", "SheetPdf",
    "UndoMix",
]  # fmt: skip
