"""Pages of customers: the list, one customer, adding, changing, putting away."""

from __future__ import annotations

from typing import Any, ClassVar

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.audit.queries import trail_of
from jobs.customers import services
from jobs.customers.filters import CustomerFilter
from jobs.customers.forms import CustomerEditForm, CustomerForm
from jobs.customers.models import Customer
from jobs.customers.tables import CustomerTable
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.panels import drawn_panels
from jobs.kernel.versionviews import VersionedFormView
from jobs.kernel.views import ConfirmView, RoomPage, ServiceActionView, ServiceFormView

SEE = "jobs.view_work"
WRITE = "jobs.manage_customers"


class CustomerList(RoomListView):
    permission = SEE
    title = "Customers"
    table_class = CustomerTable
    filterset_class = CustomerFilter
    search_fields = (
        "name",
        "email",
        "phone",
        "postcode",
        "address",
        "contacts__name",
        "contacts__phone",
        "sites__address",
    )
    search_hint = "Name, telephone, e-mail, postcode, or the address of a site"
    actions = (
        Action("Take an enquiry", "work:enquiry", "jobs.manage_jobs"),
        Action("Add a customer", "customers:create", WRITE, solid=False),
    )
    empty = "No customers yet. An enquiry adds the first."

    def get_rows(self) -> Any:
        return Customer.objects.for_list()


class OneCustomer:
    """Finds the customer of the address: erased ones are not found."""

    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "customer"

    def find(self) -> Customer:
        found: Customer = get_object_or_404(Customer.objects.known(), pk=self.kwargs["pk"])
        return found


class OneCurrentCustomer(OneCustomer):
    """Finds the customer of the address: those put away are not found either."""

    def find(self) -> Customer:
        found: Customer = get_object_or_404(Customer.objects.current(), pk=self.kwargs["pk"])
        return found


class CustomerDetail(OneCustomer, RoomPage):
    permission = SEE
    template_name = "jobs/customers/detail.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        customer: Customer = self.found
        trail = trail_of(customer) if self.request.user.has_perm("jobs.view_audit") else None
        return super().get_context_data(
            title=customer.name,
            facts=facts_of(customer),
            contacts=customer.contacts.filter(archived_at=None),
            panels=drawn_panels(self.request, "customer", customer),
            trail=trail,
            **kwargs,
        )


def facts_of(customer: Customer) -> list[tuple[str, str] | tuple[str, str, str]]:
    """Return what the customer's page says first."""
    facts: list[tuple[str, str] | tuple[str, str, str]] = [
        ("Kind", customer.get_kind_display()),
        ("Telephone", customer.phone, f"tel:{customer.phone}" if customer.phone else ""),
        ("E-mail", customer.email, f"mailto:{customer.email}" if customer.email else ""),
        (
            "Papers go to",
            ", ".join(filter(None, [*customer.address.splitlines(), customer.postcode])),
        ),
        ("Days to pay", str(customer.terms_days)),
    ]
    if not customer.is_consumer:
        facts += [
            ("VAT number", customer.vat_number),
            ("Under CIS", "reports payments" if customer.reports_under_cis else "no"),
            ("End user", "confirmed in writing" if customer.end_user_confirmed else "no"),
        ]
    if customer.wants_order_number:
        facts.append(("Order number", "wanted on papers"))
    if customer.only_needed or customer.texts_agreed:
        facts.append(("Messages", messages_wanted(customer)))
    if customer.notes:
        facts.append(("Notes", customer.notes))
    return facts


def messages_wanted(customer: Customer) -> str:
    """Return what the customer said of messages, in words."""
    said = ["text messages too"] if customer.texts_agreed else []
    return ", ".join([*said, *(["only what the work needs"] if customer.only_needed else [])])


class CustomerCreate(ServiceFormView):
    permission = WRITE
    form_class = CustomerForm
    title = "Add a customer"
    button = "Add the customer"
    success_message = "Added {made}."

    def get_back_url(self) -> str:
        return reverse("customers:list")

    def act(self, form: Any) -> Customer:
        values = dict(form.cleaned_data)
        key = values.pop("uid")
        return services.add_customer(key=key, by=self.request.user, at=self.request.now, **values)


class CustomerEdit(OneCurrentCustomer, VersionedFormView):
    permission = WRITE
    form_class = CustomerEditForm
    button = "Save the customer"
    success_message = "Saved {made}."

    def get_title(self) -> str:
        return f"Change {self.found}"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def change(self, form: Any) -> Customer:
        values = {name: form.cleaned_data[name] for name in form.compared()}
        return services.change_customer(
            customer_id=self.found.pk,
            version=form.cleaned_data["version"],
            by=self.request.user,
            at=self.request.now,
            **values,
        )


class CustomerArchive(OneCurrentCustomer, ConfirmView):
    permission = WRITE
    button = "Put the customer away"
    intro = (
        "The customer no longer shows in lists and no job can be opened. Jobs and papers stay, and "
        "you can bring the customer back at any time."
    )
    success_message = "{found} was put away."

    def get_title(self) -> str:
        return f"Put {self.found} away?"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Customer:
        return services.archive_customer(
            customer_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class CustomerRestore(OneCustomer, ServiceActionView):
    permission = WRITE
    success_message = "{found} is back in use."

    def act(self) -> Customer:
        return services.restore_customer(
            customer_id=self.found.pk, by=self.request.user, at=self.request.now
        )
