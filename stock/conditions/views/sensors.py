"""Sensors and their tokens, each of which is shown once."""

from __future__ import annotations

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.views import ConfirmView, ServiceFormView
from stock.conditions import services
from stock.conditions.filters import SensorFilter
from stock.conditions.forms import SensorForm
from stock.conditions.models import Sensor
from stock.conditions.tables import SensorTable

MANAGE = "jobs.manage_catalogue"


class Sensors(RoomListView):
    permission = MANAGE
    title = "Sensors"
    intro = "Devices that send readings by themselves."
    table_class = SensorTable
    filterset_class = SensorFilter
    search_fields = ("name", "place__name")
    search_hint = "Sensor or place"
    actions = (Action("Add a sensor", "conditions:add_sensor", MANAGE),)
    empty = "No sensor yet. Readings can be typed or brought as a file."

    def get_rows(self) -> Any:
        return Sensor.objects.for_list()


class ShowsToken(ServiceFormView):
    """Answers with the token itself, since nothing can show it again."""

    permission = MANAGE
    token: str = ""

    def get_back_url(self) -> str:
        return reverse("conditions:sensors")

    def get_success_url(self) -> str:
        return reverse("conditions:sensors")

    def form_valid(self, form: Any) -> HttpResponse:
        response = super().form_valid(form)
        if not self.token:
            return response
        url = self.request.build_absolute_uri(reverse("conditions:send"))
        context = {"title": f"Token of {self.made}", "token": self.token, "url": url}
        page = render(self.request, "stock/conditions/token.html", context)
        page["Cache-Control"] = "no-store"
        return page


class AddSensor(ShowsToken):
    form_class = SensorForm
    title = "Add a sensor"
    button = "Add the sensor"

    def act(self, form: Any) -> Sensor:
        sensor, self.token = services.add_sensor(
            name=form.cleaned_data["name"], place_id=form.cleaned_data["place"].pk,
            key=form.cleaned_data["uid"], by=self.request.user, at=self.request.now,
        )  # fmt: skip
        return sensor


class OneSensor:
    kwargs: dict[str, Any]

    def find(self) -> Sensor:
        return get_object_or_404(Sensor.objects.for_list(), pk=self.kwargs["pk"])


class RenewToken(OneSensor, ShowsToken, ConfirmView):
    template_name = "confirm_page.html"
    button = "Make a new token"
    intro = "The old token ends at once; the device sends nothing until it has the new one."

    def get_title(self) -> str:
        return f"A new token for {self.found}?"

    def act(self, form: Any) -> Sensor:
        sensor, self.token = services.renew_token(
            sensor_id=self.found.pk, by=self.request.user, at=self.request.now
        )
        return sensor


class StopSensor(OneSensor, ConfirmView):
    permission = MANAGE
    button = "Stop the sensor"
    intro = "What it sends is refused from now on; its readings stay."
    success_message = "{made} was stopped."

    def get_title(self) -> str:
        return f"Stop {self.found}?"

    def get_back_url(self) -> str:
        return reverse("conditions:sensors")

    def get_success_url(self) -> str:
        return reverse("conditions:sensors")

    def act(self, form: Any) -> Sensor:
        return services.stop_sensor(
            sensor_id=self.found.pk, by=self.request.user, at=self.request.now
        )
