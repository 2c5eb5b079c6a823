"""What the calendar does: book, move, cancel, check, override, leave, closed days."""

from jobs.calendar.services.bookings import (
    Preview,
    book_phase,
    cancel_booking,
    move_booking,
    post_told,
    preview_booking,
    preview_move,
    tell_customer,
)
from jobs.calendar.services.clashes import ClashError
from jobs.calendar.services.days import (
    add_closed_day,
    add_leave,
    add_plant,
    archive_plant,
    cancel_leave,
    change_plant,
    follow_resource,
    post_resource,
    reopen_day,
)
from jobs.calendar.services.findings import override_finding, post_findings, sweep_findings

__all__ = [
    "ClashError",
    "Preview",
    "add_closed_day",
    "add_leave",
    "add_plant",
    "archive_plant",
    "book_phase",
    "cancel_booking",
    "cancel_leave",
    "change_plant",
    "follow_resource",
    "move_booking",
    "override_finding",
    "post_findings",
    "post_resource",
    "post_told",
    "preview_booking",
    "preview_move",
    "reopen_day",
    "sweep_findings",
    "tell_customer",
]
