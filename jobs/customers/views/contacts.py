"""Pages of the people to ring at a customer's."""

from __future__ import annotations

from typing import Any, ClassVar

from django.shortcuts import get_object_or_404

from jobs.customers import services
from jobs.customers.forms import ContactFields, ContactForm
from jobs.customers.models import Contact
from jobs.customers.views.customers import WRITE, OneCurrentCustomer
from jobs.kernel.views import ConfirmView, ServiceFormView


class ContactCreate(OneCurrentCustomer, ServiceFormView):
    permission = WRITE
    form_class = ContactForm
    title = "Add somebody to ring"
    button = "Add the contact"
    success_message = "Added {made}."

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Contact:
        values = dict(form.cleaned_data)
        key = values.pop("uid")
        return services.add_contact(
            customer_id=self.found.pk, key=key, by=self.request.user, at=self.request.now, **values
        )


class OneContact:
    """Finds the contact of the address, with a customer that is in use."""

    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "contact"

    def find(self) -> Contact:
        return get_object_or_404(
            Contact.objects.select_related("customer"),
            pk=self.kwargs["pk"],
            archived_at=None,
            customer__archived_at=None,
            customer__erased_at=None,
        )


class ContactEdit(OneContact, ServiceFormView):
    permission = WRITE
    form_class = ContactFields
    button = "Save the contact"
    success_message = "Saved {made}."

    def get_title(self) -> str:
        return f"Change {self.found}"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_initial(self) -> dict[str, Any]:
        return {name: getattr(self.found, name) for name in ("name", "role", "phone", "email")}

    def act(self, form: Any) -> Contact:
        return services.change_contact(
            contact_id=self.found.pk,
            by=self.request.user,
            at=self.request.now,
            **form.cleaned_data,
        )


class ContactArchive(OneContact, ConfirmView):
    permission = WRITE
    button = "Take the contact off"
    intro = "The contact no longer shows on the customer's page."
    success_message = "{found} was taken off."

    def get_title(self) -> str:
        return f"Take {self.found} off {self.found.customer}?"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Contact:
        return services.archive_contact(
            contact_id=self.found.pk, by=self.request.user, at=self.request.now
        )
