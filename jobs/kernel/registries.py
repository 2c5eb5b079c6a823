"""Seams through which a higher room adds to a lower one without being imported by it.

Rooms register when their app is ready (`APP/apps.py` imports their checks and panels).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.http import HttpRequest

# -- booking checks --------------------------------------------------------------------------


@dataclass(frozen=True)
class Finding:
    """What a check has to say of one booking: a sentence, what mends it, the facts it rests on."""

    sentence: str
    remedy: str = ""
    facts: str = ""


BookingCheck = Callable[[Sequence[Any], datetime], Mapping[Any, Sequence[Finding]]]


@dataclass(frozen=True)
class RegisteredCheck:
    code: str
    level: str
    run: BookingCheck


BOOKING_CHECKS: dict[str, RegisteredCheck] = {}


def booking_check(code: str, level: str) -> Callable[[BookingCheck], BookingCheck]:
    """Register `check(bookings, at) -> {booking pk: [Finding]}` for many bookings in two queries.

    `level` is 'stop', 'look' or 'note'. A code can be registered once.
    """

    def register(check: BookingCheck) -> BookingCheck:
        if code in BOOKING_CHECKS and BOOKING_CHECKS[code].run is not check:
            raise ValueError(f"The booking check '{code}' is registered twice.")
        BOOKING_CHECKS[code] = RegisteredCheck(code, level, check)
        return check

    return register


# -- panels ----------------------------------------------------------------------------------

PanelFunction = Callable[[HttpRequest, Any], tuple[str, dict[str, Any]] | None]


@dataclass(frozen=True)
class Panel:
    page: str
    order: int
    permission: str
    render: PanelFunction
    name: str


PANELS: list[Panel] = []


def panel(page: str, order: int, permission: str) -> Callable[[PanelFunction], PanelFunction]:
    """Register a part of a lower room's page: `(request, subject) -> (template, context)` or None.

    At most two queries; skipped without the permission.
    """

    def register(function: PanelFunction) -> PanelFunction:
        name = f"{function.__module__}.{function.__qualname__}"
        if all(known.name != name or known.page != page for known in PANELS):
            PANELS.append(Panel(page, order, permission, function, name))
            PANELS.sort(key=lambda known: (known.page, known.order, known.name))
        return function

    return register


def panels_for(request: HttpRequest, page: str, subject: Any) -> list[dict[str, Any]]:
    """Return the panels of a page that this user may see, in order: template and context each."""
    shown = []
    for known in PANELS:
        if known.page == page and request.user.has_perm(known.permission):
            result = known.render(request, subject)
            if result is not None:
                template, context = result
                shown.append({"template": template, "context": context, "order": known.order})
    return shown


# -- what today needs ------------------------------------------------------------------------


@dataclass(frozen=True, order=True)
class TodayEntry:
    """One line of the margin list: by when, what, why, and the one button that does it."""

    at: datetime | None
    title: str = field(compare=False)
    why: str = field(compare=False, default="")
    url: str = field(compare=False, default="")
    button: str = field(compare=False, default="")
    level: str = field(compare=False, default="look")
    clock_note: str = field(compare=False, default="")


TodayProvider = Callable[[Any, datetime], Iterable[TodayEntry]]
TODAY: list[tuple[str, TodayProvider]] = []


def today_entry(permission: str) -> Callable[[TodayProvider], TodayProvider]:
    """Register `(user, now) -> entries` for the landing page of those who hold `permission`."""

    def register(function: TodayProvider) -> TodayProvider:
        if all(known is not function for _, known in TODAY):
            TODAY.append((permission, function))
        return function

    return register


# -- day windows, exports, personal data, valuation --------------------------------------------


@dataclass(frozen=True)
class DayWindow:
    """Days between which a job can be laid, and why; the planner sees windows, never lots."""

    first: date | None
    last: date | None
    reason: str


DayWindowProvider = Callable[[Sequence[int]], Mapping[int, DayWindow]]
DAY_WINDOWS: list[DayWindowProvider] = []


def day_windows(function: DayWindowProvider) -> DayWindowProvider:
    """Register `(job pks) -> {job pk: DayWindow}`."""
    if function not in DAY_WINDOWS:
        DAY_WINDOWS.append(function)
    return function


@dataclass(frozen=True)
class Export:
    """A file that a room offers: name, permission, and rows with a head."""

    code: str
    title: str
    permission: str
    rows: Callable[[Mapping[str, str]], tuple[Sequence[str], Iterable[Sequence[object]]]]


EXPORTS: dict[str, Export] = {}


def register_export(export: Export) -> Export:
    """Register an export; a code can be registered once."""
    if export.code in EXPORTS and EXPORTS[export.code].rows is not export.rows:
        raise ValueError(f"The export '{export.code}' is registered twice.")
    EXPORTS[export.code] = export
    return export


@dataclass(frozen=True)
class PersonalDataHandler:
    """How a room gives out and erases what it knows of a customer.

    `collect(customer pk)` returns plain rows; `erase(customer pk)` blanks named columns and returns
    sentences that say what was kept and why.
    """

    room: str
    collect: Callable[[int], Mapping[str, Any]]
    erase: Callable[[int], Sequence[str]]


PERSONAL_DATA: dict[str, PersonalDataHandler] = {}


def register_personal_data(handler: PersonalDataHandler) -> PersonalDataHandler:
    """Register the handler of the room that owns the rows."""
    PERSONAL_DATA[handler.room] = handler
    return handler


# -- rows made below ---------------------------------------------------------------------------

MadeFunction = Callable[[Any, Any, datetime], None]
MADE: dict[str, list[MadeFunction]] = {}


def when_made(kind: str) -> Callable[[MadeFunction], MadeFunction]:
    """Register `(row, by, at)` to run in the transaction that made a row of a lower room."""

    def register(function: MadeFunction) -> MadeFunction:
        known = MADE.setdefault(kind, [])
        if function not in known:
            known.append(function)
        return function

    return register


def post_made(kind: str, row: Any, *, by: Any, at: datetime) -> None:
    """Run what higher rooms want done when a row of this kind is made."""
    for function in MADE.get(kind, []):
        function(row, by, at)


# -- messages on their way ---------------------------------------------------------------------

MessageGuard = Callable[[str, datetime], str]
MESSAGE_GUARDS: dict[str, MessageGuard] = {}


def message_guard(prefix: str) -> Callable[[MessageGuard], MessageGuard]:
    """Register `(occasion, at) -> why it must not go any more, '' if it may`.

    It is asked for occasions that begin with `prefix`, just before the message is handed over.
    """

    def register(function: MessageGuard) -> MessageGuard:
        MESSAGE_GUARDS[prefix] = function
        return function

    return register


def why_held_back(occasion: str, at: datetime) -> str:
    """Return why a message of this occasion must not go any more; '' if it may."""
    asked = (guard for prefix, guard in MESSAGE_GUARDS.items() if occasion.startswith(prefix))
    return next(filter(None, (guard(occasion, at) for guard in asked)), "")


MessageSent = Callable[[str, datetime], None]
MESSAGES_SENT: dict[str, MessageSent] = {}


def message_sent(prefix: str) -> Callable[[MessageSent], MessageSent]:
    """Register `(occasion, at)` to run in the transaction that marks such a message as sent.

    It is asked for occasions that begin with `prefix`; it must not send anything itself.
    """

    def register(function: MessageSent) -> MessageSent:
        MESSAGES_SENT[prefix] = function
        return function

    return register


def post_sent(occasion: str, at: datetime) -> None:
    """Run what follows from a message of this occasion having left."""
    for prefix, function in MESSAGES_SENT.items():
        if occasion.startswith(prefix):
            function(occasion, at)


@dataclass(frozen=True)
class SurfaceTimes:
    """What a data sheet prints of a surface at 20 °C: minutes until feet and wheels, or None."""

    name: str
    foot_minutes: int | None
    vehicle_minutes: int | None


SurfaceTimesProvider = Callable[[Any], Iterable[SurfaceTimes]]
MESSAGE_FACTS: list[SurfaceTimesProvider] = []


def message_facts(function: SurfaceTimesProvider) -> SurfaceTimesProvider:
    """Register `(job) -> SurfaceTimes of each kit it is laid with`; messages say no less."""
    if function not in MESSAGE_FACTS:
        MESSAGE_FACTS.append(function)
    return function


JobCostProvider = Callable[[Sequence[int]], Mapping[int, Mapping[str, Decimal]]]
COMMITMENTS: list[JobCostProvider] = []


def commitments(function: JobCostProvider) -> JobCostProvider:
    """Register `(job pks) -> {job pk: {category: net of open order lines}}`; costing adds them."""
    if function not in COMMITMENTS:
        COMMITMENTS.append(function)
    return function
