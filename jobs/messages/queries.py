"""What a message is filled with, whom it may go to, and whether it may still go."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Any

from django.conf import settings
from django.db.models import Prefetch

from jobs.audit.models import Event
from jobs.calendar.enums import Phase
from jobs.calendar.models import Booking, Slot
from jobs.calendar.rules import HalfDay, days_in_words
from jobs.customers.models import Contact, Customer
from jobs.kernel.registries import MESSAGE_FACTS
from jobs.kernel.templatetags.firm import day, day_year
from jobs.messages import rules
from jobs.messages.enums import Kind
from jobs.messages.models import CustomerMessage, Wording
from jobs.messages.rules import Details, Floor, Words
from jobs.outbox.enums import Audience, Channel
from jobs.outbox.models import Message
from jobs.outbox.queries import texts_are_on
from jobs.outbox.rules import uk_mobile
from jobs.sites.enums import Answer
from jobs.work.models import Job

PHASES = {
    Phase.PREPARE: "preparing",
    Phase.LAY: "laying",
    Phase.FINISH: "finishing",
    Phase.SNAG: "putting right",
}
PARKING = {
    Answer.YES: "As you told us, cars can stand elsewhere for that time.",
    Answer.NO: "You told us that cars have nowhere else to stand: ring us, so that we find a way.",
    Answer.UNKNOWN: "If cars have nowhere else to stand for a day or longer, ring us.",
}
# A car is away for a day at least, whatever the kit prints: the site's record asks for 24 h.
AWAY_HOURS = 24


# -- whom --------------------------------------------------------------------------------------


def recipients(customer: Customer, channel: str) -> list[tuple[str, str]]:
    """Return the addresses a message may go to, each with its name: at most one query.

    Texts go to the number of the customer who said yes to them, and to nobody else.
    """
    if channel == Channel.TEXT:
        number = uk_mobile(customer.phone)
        return [] if why_no_texts(customer) else [(number, f"{customer.name}, {number}")]
    contacts = Contact.objects.filter(customer=customer, archived_at=None).exclude(email="")
    found = [(customer.email, customer.name), *contacts.values_list("email", "name")]
    return [(address, f"{name}, {address}") for address, name in found if address]


def why_no_texts(customer: Customer) -> str:
    """Return why this customer gets no text messages; '' if they do."""
    if not texts_are_on():
        return "Text messages are off: no gateway is set."
    if not customer.texts_agreed:
        return "The customer has not said yes to text messages."
    return "" if uk_mobile(customer.phone) else "The customer has no UK mobile number."


# -- days --------------------------------------------------------------------------------------


def booked(job: Job, on: date, booking: int | None = None) -> list[Booking]:
    """Return a job's standing bookings that end on a day or later, with half-days: two queries."""
    rows = Booking.objects.standing().filter(job=job, last_day__gte=on).order_by("first_day", "pk")
    if booking is not None:
        rows = rows.filter(pk=booking)
    return list(rows.prefetch_related(Prefetch("slots", Slot.objects.order_by("day", "half"))))


def as_told(bookings: Sequence[Booking]) -> dict[str, list[str]]:
    """Return each booking's half-days as a message tells them."""
    return {
        str(row.pk): sorted({f"{slot.day.isoformat()} {slot.half}" for slot in row.slots.all()})
        for row in bookings
    }


def day_lines(bookings: Sequence[Booking]) -> list[tuple[date, str]]:
    """Return each booked day with its words: '(19 May, "laying, all day")'."""
    return [
        (on, f"{PHASES[Phase(row.phase)]}, {when}")
        for row in bookings
        for on, when in days_in_words({HalfDay(s.day, s.half) for s in row.slots.all()})
    ]


def lay_days(job: Job) -> list[tuple[date, date]]:
    """Return first and last day of each standing booking to lay, in order: one query."""
    rows = Booking.objects.standing().filter(job=job, phase=Phase.LAY, first_day__isnull=False)
    return list(rows.order_by("first_day").values_list("first_day", "last_day"))


def moved_from(bookings: Sequence[Booking]) -> tuple[date | None, date | None]:
    """Return the days that the last move of these bookings gave up: one query."""
    moves = Event.objects.filter(
        subject_type=Booking._meta.label_lower,
        subject_id__in=[row.pk for row in bookings],
        verb="move_booking",
    ).order_by("-at", "-pk")
    move = moves.first()
    if move is None:
        return None, None
    return _read_day(move.before.get("from")), _read_day(move.before.get("to"))


def _read_day(text: object) -> date | None:
    try:
        return date.fromisoformat(str(text).split(" ")[0])
    except ValueError:
        return None


# -- what is filled in -------------------------------------------------------------------------


def surface_floor(job: Job) -> Floor:
    """Return the shortest times that a message about a job may say, by all who know its kits."""
    return rules.floor_of(times for known in MESSAGE_FACTS for times in known(job))


def default_details(job: Job, kind: str, on: date, booking: int | None = None) -> Details:
    """Return what is filled in for a kind before anybody has typed anything."""
    if kind in {Kind.CHANGED, Kind.RAIN}:
        first, last = moved_from(booked(job, on, booking))
        return Details(booking=booking, old_first=first, old_last=last)
    if kind == Kind.CAR:
        ahead = [days for days in lay_days(job) if days[1] >= on]
        if not ahead:
            return Details(booking=booking)
        away = max(AWAY_HOURS, surface_floor(job).vehicles or 0)
        until = rules.earliest_return(ahead[-1][1], away)
        return Details(booking=booking, car_from=ahead[0][0], car_until=until)
    if kind == Kind.KEEP_OFF:
        floor, days = surface_floor(job), lay_days(job)
        done = [last for _first, last in days if last <= on]
        laid = done[-1] if done else (days[0][1] if days else None)
        return Details(
            booking=booking, laid_on=laid, foot_hours=floor.foot, vehicle_hours=floor.vehicles
        )
    return Details(booking=booking)


def values_of(job: Job, kind: str, channel: str, details: Details, on: date) -> dict[str, str]:
    """Return what each placeholder of a kind says for a job; '' where it is not known."""
    values = {
        "firm": settings.FIRM_NAME,
        "customer": job.customer.name,
        "job": job.title,
        "reference": job.reference,
        "site": job.site.one_line,
    }
    short = channel == Channel.TEXT
    write = day if short else day_year
    if "days" in rules.PLACEHOLDERS[kind]:
        lines = day_lines(booked(job, on, details.booking))
        told = [f"{write(one)}, {words}" for one, words in lines]
        values["days"] = "; ".join(told) if short else "\n".join(told)
        values["first_day"] = write(min(one for one, _ in lines)) if lines else ""
    values["old_days"] = rules.old_days(details)
    for name in ("car_from", "car_until", "laid_on"):
        found = getattr(details, name)
        values[name] = write(found) if found else ""
    values["parking"] = PARKING[Answer(job.site.parking_elsewhere)]
    values["foot"] = rules.hours(details.foot_hours)
    values["vehicles"] = rules.hours(details.vehicle_hours)
    return {name: values[name] for name in rules.PLACEHOLDERS[kind]}


def words_on(kind: str, channel: str, on: date) -> Words:
    """Return the firm's own words of a day, ours where it has none: one query."""
    own = Wording.objects.holding(on).filter(kind=kind, channel=channel).first()
    return Words(own.subject, own.body) if own else rules.DEFAULTS[Kind(kind), Channel(channel)]


def filled(job: Job, kind: str, channel: str, details: Details, on: date) -> Words:
    """Return the words of a kind with everything filled in that is known."""
    words, values = words_on(kind, channel, on), values_of(job, kind, channel, details, on)
    subject = " ".join(rules.fill(words.subject, values).split())
    return Words(subject, rules.fill(words.body, values))


# -- whether it may still go -------------------------------------------------------------------


def why_not(occasion: str) -> str:
    """Return why a message must not go any more; '' if it may: at most four queries."""
    row = (
        CustomerMessage.objects.filter(message__occasion=occasion)
        .select_related("job__customer", "message")
        .first()
    )
    if row is None:
        return ""
    customer = row.job.customer
    if customer.erased_at or not row.message.to:
        return "The customer's data was erased."
    if customer.only_needed and not row.needed:
        return "The customer wants no messages but what the work needs."
    if row.message.channel == Channel.TEXT and not customer.texts_agreed:
        return "The customer takes no text messages any more."
    if row.told and _told_now(row) != row.told:
        return "The days changed after this was written. Write it anew."
    return ""


def _told_now(row: CustomerMessage) -> dict[str, list[str]]:
    rows = Booking.objects.standing().filter(pk__in=[int(pk) for pk in row.told])
    return as_told(list(rows.prefetch_related("slots")))


def booking_ids_told(occasion: str) -> tuple[list[int], Any]:
    """Return the bookings whose days a message tells, and who wrote it; none for other kinds."""
    row = (
        CustomerMessage.objects.filter(message__occasion=occasion, kind__in=Kind.TELLING)
        .select_related("written_by")
        .first()
    )
    return ([int(pk) for pk in row.told], row.written_by) if row else ([], None)


# -- personal data -----------------------------------------------------------------------------


def message_records(customer_id: int) -> dict[str, Any]:
    """Return what was written to a customer about their jobs, as plain values."""
    jobs = dict(Job.objects.filter(customer_id=customer_id).values_list("pk", "reference"))
    rows = Message.objects.filter(
        about_type=Job._meta.label_lower, about_id__in=jobs, audience=Audience.CUSTOMER
    ).order_by("pk")
    names = ("channel", "to", "subject", "body", "state", "created_at", "sent_at")
    return {
        "messages": [
            {"job": jobs.get(row.about_id or 0, "")} | {name: getattr(row, name) for name in names}
            for row in rows
        ]
    }
