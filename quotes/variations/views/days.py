"""The days that an accepted variation adds: the way to the booking, or why it stays."""

from __future__ import annotations

from typing import Any

from jobs.kernel.views import ServiceActionView, ServiceFormView
from quotes.variations import forms, queries, services
from quotes.variations.models import Variation
from quotes.variations.views.office import OfVariation

BOOK = "jobs.book_crews"


class SettleDays(OfVariation, ServiceFormView):
    """The bookings to move; or say that no change is needed, and why."""

    permission = BOOK
    form_class = forms.DaysForm
    template_name = "quotes/variations/days.html"
    title = "Days of the variation"
    button = "No change is needed"
    success_message = "Noted. It can be taken back on the page of the variation."

    def act(self, form: Any) -> Variation:
        return services.settle_days(**self.call, reason=form.cleaned_data["reason"])

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            due=queries.due_of(self.found), job=self.found.revision.quote.job,
            bookings=queries.bookings_of(self.found.revision.quote.job), **kwargs,
        )  # fmt: skip


class ReopenDays(OfVariation, ServiceActionView):
    """Take it back: the days wait again."""

    permission = BOOK
    success_message = "Taken back: the days wait again, unless the booking was moved meanwhile."

    def act(self) -> Variation:
        return services.reopen_days(**self.call)
