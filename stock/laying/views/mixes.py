"""Bays and mixes on the phone: one tap a mix."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.errors import ServiceError
from jobs.kernel.views import ConfirmView, RoomPermissionMixin, ServiceFormView, redirect
from jobs.surveys.models import Area
from jobs.surveys.queries import measured_survey
from stock.laying import queries, services
from stock.laying.forms import BayForm, FullForm, TapForm
from stock.laying.models import LayBay, LayDay, Mix
from stock.laying.rules import next_bay_name
from stock.laying.views.day import OneDay


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

    def act(self, form: Any) -> Mix:
        return services.undo_mix(mix_id=self.mix.pk, by=self.request.user, at=self.request.now)


class MarkSpilt(OneMix):
    intro = "Its material is booked as waste and does not count for the bay. Mix another one."

    def get_title(self) -> str:
        return f"Was mix {self.mix.number} spilt?"

    @property
    def button(self) -> str:  # type: ignore[override]
        return f"Mix {self.mix.number} was spilt"

    def act(self, form: Any) -> Mix:
        return services.mark_spilt(mix_id=self.mix.pk, by=self.request.user, at=self.request.now)
