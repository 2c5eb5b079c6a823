"""What is known of a person: given out as a file, or erased."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponseBase, JsonResponse
from django.urls import reverse

from jobs.customers import services
from jobs.customers.forms import ErasureForm
from jobs.customers.views.customers import OneCustomer
from jobs.kernel.views import ConfirmView, RoomPermissionMixin

PERSONAL_DATA = "jobs.handle_personal_data"


class CustomerData(OneCustomer, RoomPermissionMixin):
    """All that is known of a customer, as a file for the person who asked for it."""

    permission = PERSONAL_DATA
    http_method_names = ["post", "options"]

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        data = services.give_out_data(
            customer_id=self.found.pk, by=request.user, at=self.request.now
        )
        return JsonResponse(
            data,
            json_dumps_params={"indent": 2, "ensure_ascii": False},
            headers={
                "Content-Disposition": f'attachment; filename="customer-{self.found.pk}.json"'
            },
        )


class CustomerErase(OneCustomer, ConfirmView):
    permission = PERSONAL_DATA
    form_class = ErasureForm
    button = "Erase the personal data"
    intro = (
        "Name, addresses, telephone, e-mail and notes of the customer and contacts are blanked, "
        "with what the sites and jobs say of them. This cannot be taken back. What tax, the "
        "guarantee and tracing of materials need is kept, and you are told what."
    )

    def get_title(self) -> str:
        return f"Erase the personal data of {self.found}?"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> None:
        kept = services.erase_customer(
            customer_id=self.found.pk,
            by=self.request.user,
            at=self.request.now,
            reason=form.cleaned_data["reason"],
        )
        messages.success(self.request, " ".join(["The personal data were erased.", *kept]))

    def get_success_url(self) -> str:
        return reverse("customers:list")
