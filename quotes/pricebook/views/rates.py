"""Pages of the firm's rates."""

from __future__ import annotations

from typing import Any, ClassVar

from django.urls import reverse

from jobs.kernel import clock
from jobs.kernel.views import RoomPage, ServiceFormView
from quotes.pricebook import services
from quotes.pricebook.forms import FirmRatesForm
from quotes.pricebook.models import FirmRates
from quotes.pricebook.views.common import CHANGE, SEE

FIRM_FIGURES = (
    "labour_hourly", "overhead_percent", "margin_percent", "vat_percent", "waste_percent",
    "deposit_percent", "minimum_charge", "validity_days", "mile_rate", "crew_size", "day_hours",
    "daywork_labour_percent", "daywork_plant_percent", "daywork_material_percent",
)  # fmt: skip


class FirmRatesPage(RoomPage):
    """The firm's rates, day by day."""

    permission = SEE
    template_name = "quotes/pricebook/rates.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        day = clock.london_day(self.request.now)
        return super().get_context_data(
            title="Firm's rates",
            rates=FirmRates.objects.order_by("-valid_from"),
            held=FirmRates.objects.on(day),
            may_change=self.request.user.has_perm(CHANGE),
            **kwargs,
        )


class NewFirmRates(ServiceFormView):
    """New rates of the firm from a day on."""

    permission = CHANGE
    form_class = FirmRatesForm
    title = "New rates of the firm"
    button = "Add the rates"
    success_message = "The new rates are in the book."
    success_url: ClassVar[str] = "pricebook:rates"  # type: ignore[misc]

    def get_back_url(self) -> str:
        return reverse("pricebook:rates")

    def get_initial(self) -> dict[str, Any]:
        begin: dict[str, Any] = {"valid_from": clock.london_day(self.request.now)}
        last = FirmRates.objects.order_by("-valid_from").first()
        known = {name: getattr(last, name) for name in FIRM_FIGURES} if last else {}
        return begin | known

    def act(self, form: Any) -> FirmRates:
        return services.add_firm_rates(**form.figures, by=self.request.user, at=self.request.now)
