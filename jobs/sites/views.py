"""Pages of sites."""

from __future__ import annotations

from typing import Any, ClassVar

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.audit.queries import trail_of
from jobs.customers.models import Customer
from jobs.kernel.lists import RoomListView
from jobs.kernel.panels import drawn_panels
from jobs.kernel.versionviews import VersionedFormView
from jobs.kernel.views import ConfirmView, RoomPage, ServiceActionView, ServiceFormView
from jobs.sites import services
from jobs.sites.filters import SiteFilter
from jobs.sites.forms import SiteEditForm, SiteForm
from jobs.sites.models import Site
from jobs.sites.queries import answers_of
from jobs.sites.rules import QUESTIONS, notes_on
from jobs.sites.tables import SiteTable

SEE = "jobs.view_work"
WRITE = "jobs.manage_customers"


class SiteList(RoomListView):
    permission = SEE
    title = "Sites"
    table_class = SiteTable
    filterset_class = SiteFilter
    search_fields = ("name", "address", "postcode", "customer__name")
    search_hint = "Address, postcode or customer"
    empty = "No sites yet. A site is added from its customer's page, or by an enquiry."

    def get_rows(self) -> Any:
        return Site.objects.for_list()


class OneSite:
    """Finds the site of the address; those of erased customers are not found."""

    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "site"

    def find(self) -> Site:
        found: Site = get_object_or_404(Site.objects.known(), pk=self.kwargs["pk"])
        return found


class OneCurrentSite(OneSite):
    """Finds the site of the address; those put away are not found either."""

    def find(self) -> Site:
        found: Site = get_object_or_404(Site.objects.current(), pk=self.kwargs["pk"])
        return found

    def get_back_url(self) -> str:
        found: Site = self.found  # type: ignore[attr-defined]
        return str(found.get_absolute_url())


class SiteDetail(OneSite, RoomPage):
    permission = SEE
    template_name = "jobs/sites/detail.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        site: Site = self.found
        trail = trail_of(site) if self.request.user.has_perm("jobs.view_audit") else None
        facts = [
            ("Customer", site.customer.name, site.customer.get_absolute_url()),
            ("Address", site.one_line),
            *answers_of(site),
            *([("Notes", site.notes)] if site.notes else []),
        ]
        return super().get_context_data(
            title=site.name,
            facts=facts,
            warnings=notes_on({name: getattr(site, name) for name in QUESTIONS}),
            not_asked=sum(getattr(site, name) == "unknown" for name in QUESTIONS),
            panels=drawn_panels(self.request, "site", site),
            trail=trail,
            **kwargs,
        )


class SiteCreate(ServiceFormView):
    """A new site of the customer in the address."""

    permission = WRITE
    found_name = "customer"
    form_class = SiteForm
    button = "Add the site"
    success_message = "Added {made}."

    def find(self) -> Customer:
        found: Customer = get_object_or_404(Customer.objects.current(), pk=self.kwargs["customer"])
        return found

    def get_title(self) -> str:
        return f"Add a site for {self.found}"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Site:
        values = dict(form.cleaned_data)
        key = values.pop("uid")
        return services.add_site(
            customer_id=self.found.pk, key=key, by=self.request.user, at=self.request.now, **values
        )


class SiteEdit(OneCurrentSite, VersionedFormView):
    permission = WRITE
    form_class = SiteEditForm
    button = "Save the site"
    success_message = "Saved {made}."

    def get_title(self) -> str:
        return f"Change {self.found}"

    def get_initial(self) -> dict[str, Any]:
        return self.initial_of((*self.form_class.base_fields, *QUESTIONS))

    def change(self, form: Any) -> Site:
        values = {name: form.cleaned_data[name] for name in form.compared()}
        return services.change_site(
            site_id=self.found.pk, version=form.cleaned_data["version"],
            by=self.request.user, at=self.request.now, **values,
        )  # fmt: skip


class SiteArchive(OneCurrentSite, ConfirmView):
    permission = WRITE
    button = "Put the site away"
    intro = "The site no longer shows in lists. Its jobs stay, and you can bring it back."
    success_message = "{found} was put away."

    def get_title(self) -> str:
        return f"Put {self.found} away?"

    def act(self, form: Any) -> Site:
        return services.archive_site(
            site_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class SiteRestore(OneSite, ServiceActionView):
    permission = WRITE
    success_message = "{found} is back in use."

    def act(self) -> Site:
        return services.restore_site(
            site_id=self.found.pk, by=self.request.user, at=self.request.now
        )

    def get_success_url(self) -> str:
        return reverse("sites:detail", args=[self.found.pk])
