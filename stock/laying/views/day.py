"""One lay day on the phone: base, bays, mixes, the evening."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import uuid4

from django.contrib import messages
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.attachments.queries import attachments_of
from jobs.attachments.services import keep_file
from jobs.kernel.clock import at_wall
from jobs.kernel.errors import ServiceError
from jobs.kernel.templatetags.firm import celsius
from jobs.kernel.views import (
    ConfirmView,
    RoomPage,
    ServiceFormView,
)
from stock.laying import queries, services
from stock.laying.forms import BaseForm, EveningForm
from stock.laying.models import Discrepancy, LayDay
from stock.laying.rules import BaseVerdict, shown_margin
from stock.laying.views.lists import SEES


class OneDay:
    """Finds a lay day within what the user may see."""

    kwargs: dict[str, Any]
    request: Any
    found: Any
    found_name: ClassVar[str] = "lay_day"

    def find(self) -> LayDay:
        found: LayDay = get_object_or_404(
            queries.visible_days(self.request.user), pk=self.kwargs["pk"]
        )
        return found

    def get_success_url(self) -> str:
        return reverse("laying:day", args=[self.found.pk])

    def get_back_url(self) -> str:
        return reverse("laying:day", args=[self.found.pk])


def verdict_figures(verdict: BaseVerdict | None) -> dict[str, str] | None:
    """Return dew point and margin as the page writes them; no rounding makes a refusal a pass."""
    if verdict is None:
        return None
    dew = celsius(f"{verdict.dew_c:.1f}")
    return {"dew": dew, "margin": f"{shown_margin(verdict.margin_c)}\N{NO-BREAK SPACE}°C"}


class LayDayPage(OneDay, RoomPage):
    """The day: before the base is accepted, while laying, and after."""

    permission = SEES
    template_name = "stock/laying/day.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        asked = self.request.GET.get("bay", "")
        page = queries.day_page(
            self.found,
            self.request.now,
            int(asked) if asked.isdecimal() and len(asked) < 10 else None,
        )
        last = queries.is_last_day(self.found.job_id, self.found.day)
        return super().get_context_data(
            title=str(self.found.job.site), page=page, verdict=verdict_figures(page.verdict),
            uid=uuid4(), photos=list(attachments_of(self.found)), last_day=last,
            cautions=queries.cautions_of_work(),
            differences=list(Discrepancy.objects.open().filter(lay_day=self.found)),
            **kwargs,
        )  # fmt: skip


class AcceptBase(OneDay, ServiceFormView):
    """The readings before mix 1, or again later."""

    permission = "jobs.log_lay_day"
    form_class = BaseForm
    template_name = "stock/laying/base.html"
    verdict: BaseVerdict | None = None

    def get_title(self) -> str:
        return "Read again" if self.found.base_accepted_at else "Accept the base"

    def get_initial(self) -> dict[str, Any]:
        until = self.found.dry_until
        return {"note": self.found.base_note, "dry_until": until} if until else {
            "note": self.found.base_note
        }  # fmt: skip

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            verdict=self.verdict, figures=verdict_figures(self.verdict), **kwargs
        )

    def act(self, form: Any) -> LayDay:
        values = form.cleaned_data
        until = values["dry_until"]
        kept = [keep_file(data=file.read(), name=file.name) for file in values["file"] if file]
        try:
            made = services.accept_base(
                lay_day_id=self.found.pk, air_c=values["air_c"], surface_c=values["surface_c"],
                humidity_percent=values["humidity_percent"], note=values["note"],
                # A tick counts for the readings under which it was asked, not for others.
                seen=values["seen"] and self.request.POST.get("read") == form.read,
                dry_until=at_wall(self.found.day, until) if until else None, kept=kept,
                by=self.request.user, at=self.request.now,
            )  # fmt: skip
        except services.BaseRefusedError as refusal:
            self.verdict = refusal.verdict
            raise ServiceError(
                "Read what speaks against it. Wait and read again, or tick this.", field="seen"
            ) from refusal
        if made.base_findings:
            messages.warning(self.request, "Noted: you decided to lay all the same.")
        return made


class Evening(OneDay, ServiceFormView):
    """What was drawn and not laid: back, waste, stays, or a difference."""

    permission = "jobs.log_lay_day"
    form_class = EveningForm
    template_name = "stock/laying/evening.html"
    title = "Evening balance"
    button = "Book the balance"
    success_message = "The evening is balanced."

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {
            "balances": queries.evening_balance(self.found.job_id),
            "last_day": queries.is_last_day(self.found.job_id, self.found.day),
        }

    def act(self, form: Any) -> LayDay:
        values = form.cleaned_data
        return services.evening_return(
            lay_day_id=self.found.pk, rows=values["rows"], place_id=values["place"].pk,
            key=values["uid"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class CloseDay(OneDay, ConfirmView):
    """The day is done."""

    permission = "jobs.log_lay_day"
    template_name = "stock/laying/plain_confirm.html"
    title = "Close the day?"
    button = "Close the day"
    intro = "Mixes and bays then stand as they are. The day can be opened again."
    success_message = "The day is closed."

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        page = queries.day_page(self.found, self.request.now)
        open_bays = ", ".join(f"bay {bay}" for bay in page.unmeasured)
        if open_bays:
            kwargs["intro"] = f"Not measured yet: {open_bays}. {self.intro}"
        return super().get_context_data(**kwargs)

    def act(self, form: Any) -> LayDay:
        return services.close_day(
            lay_day_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class ReopenDay(OneDay, ConfirmView):
    """Something was forgotten."""

    permission = "jobs.log_lay_day"
    template_name = "stock/laying/plain_confirm.html"
    title = "Open the day again?"
    button = "Open the day again"
    intro = "Mixes, bays and the balance can then be put right. That it was opened is recorded."
    success_message = "The day is open again."

    def act(self, form: Any) -> LayDay:
        return services.reopen_day(
            lay_day_id=self.found.pk, by=self.request.user, at=self.request.now
        )
