"""The week, and booking and moving with a look before saving."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.calendar import services
from jobs.calendar.forms import (
    BookForm,
    CancelForm,
    MoveForm,
    OverrideForm,
    VersionForm,
)
from jobs.calendar.models import Booking, BookingFinding
from jobs.calendar.queries import firm_calendar, monday_of, week_board
from jobs.calendar.rules import HalfDay, days_in_words
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.panels import drawn_panels
from jobs.kernel.posting import digest_of
from jobs.kernel.views import (
    UNPROCESSABLE,
    ConfirmView,
    RoomPage,
    ServiceFormView,
    add_refusal,
)
from jobs.people.models import Person

SEE = "jobs.view_work"
BOOK = "jobs.book_crews"


class Week(RoomPage):
    """Resources down, half-days across."""

    permission = SEE
    template_name = "jobs/calendar/week.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        today = london_day(self.request.now)
        monday = monday_of(wanted_day(self.request, today))
        me = Person.objects.current().filter(user=self.request.user).first()
        # Who is booked wants his own days first; who books wants everybody's.
        asked = self.request.GET.get("whose", "all" if self.request.user.has_perm(BOOK) else "mine")
        mine = me is not None and asked == "mine"
        board = week_board(monday, firm_calendar(), me if mine else None)
        return super().get_context_data(
            title="Calendar",
            intro=f"week {monday.isocalendar().week}, from {monday:%A %-d %B %Y}",
            board=board,
            today=today,
            this_monday=monday_of(today),
            monday=monday,
            me=me,
            mine=mine,
            **kwargs,
        )


def wanted_day(request: HttpRequest, today: date) -> date:
    """Return the day that the address asks for, today where it asks for none that can be."""
    try:
        day = date.fromisoformat(request.GET.get("week", ""))
    except ValueError:
        return today
    return day if abs(day - today) < timedelta(days=3650) else today


class LookFirst(ServiceFormView):
    """What the checks find is shown first; the second press saves."""

    permission = BOOK
    template_name = "jobs/calendar/book.html"
    all_the_same = ""

    def look(self, form: Any) -> tuple[BookingFinding, ...]:
        """Return what the checks would say."""
        raise NotImplementedError

    def form_valid(self, form: Any) -> HttpResponse:
        try:
            findings = self.look(form)
        except ServiceError as refusal:
            add_refusal(form, refusal)
            return self.form_invalid(form)
        seen = digest_of({"found": sorted(row.facts for row in findings)}) if findings else ""
        if seen != form.cleaned_data["seen"]:
            form.data = form.data.copy()
            form.data["seen"] = seen
            context = self.get_context_data(form=form, findings=findings, button=self.all_the_same)
            return self.render_to_response(context, status=UNPROCESSABLE)
        return super().form_valid(form)


class Book(LookFirst):
    """Book a phase of a job."""

    form_class = BookForm
    all_the_same = "Book it all the same"
    title = "Book a crew"
    button = "Check and book"
    success_message = "Booked: {made}."

    def get_initial(self) -> dict[str, Any]:
        query = self.request.GET
        initial = {name: query[name] for name in ("job", "phase", "first", "last") if name in query}
        if query.get("resource", "").isdecimal():
            initial["resources"] = [int(query["resource"])]
        return initial

    def get_back_url(self) -> str:
        return reverse("calendar:week")

    def look(self, form: Any) -> tuple[BookingFinding, ...]:
        """Return what the checks would say."""
        values = form.cleaned_data
        return services.preview_booking(
            job_id=values["job"].pk,
            phase=values["phase"],
            resource_ids=values["resources"],
            when=form.when(),
            by=self.request.user,
            at=self.request.now,
        ).findings

    def act(self, form: Any) -> Booking:
        values = form.cleaned_data
        return services.book_phase(
            job_id=values["job"].pk,
            phase=values["phase"],
            resource_ids=values["resources"],
            when=form.when(),
            note=values["note"],
            key=values["uid"],
            by=self.request.user,
            at=self.request.now,
        )


class OneBooking:
    kwargs: dict[str, Any]
    found_name = "booking"

    def find(self) -> Booking:
        rows = Booking.objects.standing().with_all()
        found: Booking = get_object_or_404(rows, pk=self.kwargs["pk"])
        return found


class BookingDetail(OneBooking, RoomPage):
    permission = SEE
    template_name = "jobs/calendar/booking.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        booking: Booking = self.found
        slots = list(booking.slots.all())
        resources = sorted({(slot.resource.kind, slot.resource.name) for slot in slots})
        return super().get_context_data(
            title=str(booking),
            resources=[name for _, name in resources],
            whens=days_in_words(HalfDay(slot.day, slot.half) for slot in slots),
            panels=drawn_panels(self.request, "booking", booking),
            **kwargs,
        )


class Move(OneBooking, LookFirst):
    """Other days or resources for a booking."""

    form_class = MoveForm
    all_the_same = "Move it all the same"
    button = "Check and move"
    success_message = "Moved: {made}."

    def look(self, form: Any) -> tuple[BookingFinding, ...]:
        values = form.cleaned_data
        return services.preview_move(
            booking_id=self.found.pk,
            version=values["version"],
            resource_ids=values["resources"],
            when=form.when(),
            by=self.request.user,
            at=self.request.now,
        ).findings

    def get_title(self) -> str:
        return f"Move {self.found}"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_initial(self) -> dict[str, Any]:
        booking: Booking = self.found
        whens = sorted({(slot.day, slot.half) for slot in booking.slots.all()})
        return {
            "first": whens[0][0] if whens else None,
            "first_half": whens[0][1] if whens else "am",
            "last": whens[-1][0] if whens else None,
            "last_half": whens[-1][1] if whens else "pm",
            "resources": sorted({slot.resource_id for slot in booking.slots.all()}),
            "note": booking.note,
            "version": booking.version,
        }

    def act(self, form: Any) -> Booking:
        values = form.cleaned_data
        return services.move_booking(
            booking_id=self.found.pk,
            version=values["version"],
            resource_ids=values["resources"],
            when=form.when(),
            note=values["note"],
            by=self.request.user,
            at=self.request.now,
        )


class Cancel(OneBooking, ConfirmView):
    permission = BOOK
    form_class = CancelForm
    button = "Cancel the booking"
    intro = "Its half-days are free again. The record of it stays."
    success_message = "{found} was cancelled."

    def get_title(self) -> str:
        return f"Cancel {self.found}?"

    def get_initial(self) -> dict[str, Any]:
        return {"version": self.found.version}

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return reverse("calendar:week")

    def act(self, form: Any) -> Booking:
        return services.cancel_booking(
            booking_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class Tell(OneBooking, ConfirmView):
    permission = BOOK
    form_class = VersionForm
    title = "Was the customer told this date?"
    intro = "From then on only the owner can move it."
    button = "The customer was told"
    success_message = "Noted."

    def get_initial(self) -> dict[str, Any]:
        return {"version": self.found.version}

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Booking:
        return services.tell_customer(
            booking_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class Override(ServiceFormView):
    permission = "jobs.override_check"
    form_class = OverrideForm
    button = "Let it go ahead"
    success_message = "Noted; it stands until its facts change."

    def find(self) -> BookingFinding:
        rows = BookingFinding.objects.select_related("booking__job")
        return get_object_or_404(rows, pk=self.kwargs["pk"])

    def get_title(self) -> str:
        return str(self.found.sentence)

    def get_back_url(self) -> str:
        return str(self.found.booking.get_absolute_url())

    def get_success_url(self) -> str:
        return self.get_back_url()

    def act(self, form: Any) -> BookingFinding:
        reason = dict(form.fields["reason"].choices)[form.cleaned_data["reason"]]
        return services.override_finding(
            finding_id=self.found.pk, reason=reason, by=self.request.user, at=self.request.now
        )
