"""Reading the calendar: working days, booked phases, the week as a board."""

from jobs.calendar.queries.board import Board, monday_of, week_board
from jobs.calendar.queries.days import bank_holidays, firm_calendar, phase_days, yard_calendar

__all__ = [
    "Board",
    "bank_holidays",
    "firm_calendar",
    "monday_of",
    "phase_days",
    "week_board",
    "yard_calendar",
]
