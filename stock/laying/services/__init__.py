"""Writing the lay day: opened, base accepted, mixes logged, bays measured, the evening balanced."""

from stock.laying.rules import EveningRow
from stock.laying.services.day import (
    BaseRefusedError,
    accept_base,
    close_day,
    open_lay_day,
    reopen_day,
)
from stock.laying.services.evening import answer_discrepancy, evening_return
from stock.laying.services.mixes import add_bay, bay_full, log_mix, mark_spilt, undo_mix

__all__ = [
    "BaseRefusedError", "EveningRow", "accept_base", "add_bay", "answer_discrepancy", "bay_full",
    "close_day", "evening_return", "log_mix", "mark_spilt", "open_lay_day", "reopen_day",
    "undo_mix",
]  # fmt: skip
