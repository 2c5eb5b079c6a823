"""One lay day on the phone: base, bays, mixes, the evening."""

from __future__ import annotations

from typing import Any, ClassVar
from uuid import uuid4

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.attachments.queries import attachments_of
from jobs.attachments.services import keep_file
from jobs.kernel.clock import at_wall
from jobs.kernel.errors import ServiceError
from jobs.kernel.views import (
    ConfirmView,
    RoomPage,
    RoomPermissionMixin,
    ServiceFormView,
    redirect,
)
from jobs.surveys.models import Area
from jobs.surveys.queries import measured_survey
from stock.laying import queries, services
from stock.laying.forms import BaseForm, BayForm, EveningForm, FullForm, TapForm
from stock.laying.models import Discrepancy, LayBay, LayDay, Mix
from stock.laying.rules import BaseVerdict, next_bay_name, shown_margin
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
    return {"dew": f"{verdict.dew_c:.1f}", "margin": shown_margin(verdict.margin_c)}


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


class AddBay(OneDay, ServiceFormView):
    """A bay between two joints."""

    permission = "jobs.log_lay_day"
    form_class = BayForm
    template_name = "stock/laying/plain_form.html"
    title = "Add a bay"
    button = "Add the bay"
    success_message = "Bay {made} is added."

    def get_form_kwargs(self) -> dict[str, Any]:
        survey = measured_survey(self.found.job_id)
        areas = list(Area.objects.filter(survey=survey).values_list("name", flat=True))
        blends = queries.job_blends(self.found.job_id)
        return super().get_form_kwargs() | {"areas": areas if survey else [], "blends": blends}

    def get_initial(self) -> dict[str, Any]:
        bays = list(LayBay.objects.filter(lay_day=self.found).order_by("pk"))
        return {
            "name": next_bay_name(bay.name for bay in bays),
            "area_name": bays[-1].area_name if bays else None,
        }

    def act(self, form: Any) -> LayBay:
        values = form.cleaned_data
        return services.add_bay(
            lay_day_id=self.found.pk, name=values["name"], area_name=values.get("area_name", ""),
            blend_id=values.get("blend"), by=self.request.user, at=self.request.now,
        )  # fmt: skip

    def get_success_url(self) -> str:
        return reverse("laying:day", args=[self.found.pk])


class LogMix(OneDay, RoomPermissionMixin):
    """One tap: a mix was started. The same tap twice logs it once."""

    permission = "jobs.log_lay_day"
    http_method_names = ["post", "options"]

    def post(self, request: HttpRequest, *_: Any, **__: Any) -> HttpResponse:
        form = TapForm(request.POST)
        back = reverse("laying:day", args=[self.found.pk])
        if not form.is_valid():
            messages.error(request, "This tap was not logged. Open the page again and tap once.")
            return redirect(request, back)
        known = Mix.objects.filter(uid=form.cleaned_data["uid"]).exists()
        try:
            mix = services.log_mix(
                lay_day_id=self.found.pk, bay_id=form.cleaned_data["bay"],
                uid=form.cleaned_data["uid"], started_at=self.request.now, by=request.user,
                at=self.request.now,
            )  # fmt: skip
        except ServiceError as refusal:
            messages.error(request, refusal.message)
            return redirect(request, back)
        if known:
            messages.info(
                request, f"Mix {mix.number} stands already; it was not logged a second time."
            )
        return redirect(request, back)


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

    def act(self, form: Any) -> LayDay:  # noqa: ARG002
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

    def act(self, form: Any) -> LayDay:  # noqa: ARG002
        return services.reopen_day(
            lay_day_id=self.found.pk, by=self.request.user, at=self.request.now
        )


# -- one bay, one mix --------------------------------------------------------------------------


class BayFull(OneDay, ServiceFormView):
    """A bay is full: its m²."""

    permission = "jobs.log_lay_day"
    form_class = FullForm
    template_name = "stock/laying/plain_form.html"
    button = "It is full"

    def find(self) -> LayDay:
        self.bay = get_object_or_404(
            LayBay, pk=self.kwargs["pk"], lay_day__in=queries.visible_days(self.request.user)
        )
        self.kwargs["pk"] = self.bay.lay_day_id
        return super().find()

    def get_title(self) -> str:
        return f"Bay {self.bay} is full"

    def get_initial(self) -> dict[str, Any]:
        return {"area_m2": self.bay.area_m2}

    def act(self, form: Any) -> LayBay:
        return services.bay_full(
            bay_id=self.bay.pk, area_m2=form.cleaned_data["area_m2"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip

    def get_success_url(self) -> str:
        return reverse("laying:day", args=[self.found.pk])


class OneMix(OneDay, ConfirmView):
    """A question about one mix."""

    permission = "jobs.log_lay_day"
    template_name = "stock/laying/plain_confirm.html"

    def find(self) -> LayDay:
        self.mix = get_object_or_404(
            Mix, pk=self.kwargs["pk"], lay_day__in=queries.visible_days(self.request.user)
        )
        self.kwargs["pk"] = self.mix.lay_day_id
        return super().find()


class UndoMix(OneMix):
    intro = "Its material is at the site again, and the next mix takes its number."

    def get_title(self) -> str:
        return f"Undo mix {self.mix.number}?"

    @property
    def button(self) -> str:  # type: ignore[override]
        return f"Undo mix {self.mix.number}"

    def act(self, form: Any) -> Mix:  # noqa: ARG002
        return services.undo_mix(mix_id=self.mix.pk, by=self.request.user, at=self.request.now)


class MarkSpilt(OneMix):
    intro = "Its material is booked as waste and does not count for the bay. Mix another one."

    def get_title(self) -> str:
        return f"Was mix {self.mix.number} spilt?"

    @property
    def button(self) -> str:  # type: ignore[override]
        return f"Mix {self.mix.number} was spilt"

    def act(self, form: Any) -> Mix:  # noqa: ARG002
        return services.mark_spilt(mix_id=self.mix.pk, by=self.request.user, at=self.request.now)
