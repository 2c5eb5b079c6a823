"""Pages of plant, ground and small jobs: each entry has its figures from a day on."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel import clock
from jobs.kernel.lists import RoomListView
from jobs.kernel.views import RoomPage, ServiceActionView, ServiceFormView
from quotes.pricebook import services
from quotes.pricebook.enums import BookKind
from quotes.pricebook.filters import EntryFilter
from quotes.pricebook.forms import RATE_FORMS, EntryForm
from quotes.pricebook.queries import BOOK
from quotes.pricebook.tables import ENTRY_TABLES
from quotes.pricebook.views.common import CHANGE, SEE

EMPTY = {
    BookKind.PLANT: "No plant yet. Add what you hire: a digger, a compactor, a breaker.",
    BookKind.GROUND: "No ground yet. Add what you dig: topsoil, clay, hardcore.",
    BookKind.SMALL: "No small jobs yet. Add the pieces of work that are sold by the piece.",
}


class BookPage(RoomPage):
    """The ways to plant, ground and small jobs."""

    permission = SEE
    template_name = "quotes/pricebook/book.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            title="Plant, ground, small jobs",
            kinds=[(kind.label, reverse("pricebook:entries", args=[kind])) for kind in BookKind],
            **kwargs,
        )


class OfKind:
    """Pages about one kind of entry; another word in the address is no page."""

    kwargs: dict[str, Any]
    request: Any
    found: Any

    @property
    def kind(self) -> BookKind:
        """The kind that the address names."""
        if self.kwargs["kind"] not in BookKind.values:
            raise Http404
        return BookKind(self.kwargs["kind"])

    def find(self) -> Any:
        """Return the entry that the address names, None where it names only the kind."""
        model, _ = BOOK[self.kind]
        return get_object_or_404(model, pk=self.kwargs["pk"]) if "pk" in self.kwargs else None

    def get_back_url(self) -> str:
        """Return the entry's page, or the list."""
        if self.found is not None:
            return str(self.found.get_absolute_url())
        return reverse("pricebook:entries", args=[self.kind])


class EntryList(OfKind, RoomListView):
    """Entries of one kind with the figures of today."""

    permission = SEE
    filterset_class = EntryFilter
    search_fields = ("name",)
    search_hint = "name"

    def get_rows(self) -> QuerySet[Any]:
        model, _ = BOOK[self.kind]
        rows: QuerySet[Any] = model.objects.for_list(clock.london_day(self.request.now))
        return rows

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        context = super().get_context_data(**kwargs)
        if self.request.user.has_perm(CHANGE):
            add = reverse("pricebook:add_entry", args=[self.kind])
            bring = reverse("pricebook:import_kind", args=[self.kind])
            context["actions"] = [
                {"label": f"Add {self.kind.label}", "url": add, "solid": True},
                {"label": "From a sheet", "url": bring, "solid": False},
            ]
        return context

    @property
    def table_class(self) -> Any:
        return ENTRY_TABLES[self.kind]

    @property
    def title(self) -> str:  # type: ignore[override]
        return self.kind.label.capitalize()

    @property
    def empty(self) -> str:  # type: ignore[override]
        return EMPTY[self.kind]


class EntryPage(OfKind, RoomPage):
    """One entry: its figures day by day."""

    permission = SEE
    template_name = "quotes/pricebook/entry.html"
    found_name = "entry"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        _, rate_model = BOOK[self.kind]
        day = clock.london_day(self.request.now)
        fields = [each for each in rate_model._meta.fields if each.name not in {"id", "entry"}]
        rates = list(self.found.rates.order_by("-valid_from"))
        held = next((rate for rate in rates if rate.valid_from <= day), None)
        names = [each.name for each in fields if each.name != "valid_from"]
        return super().get_context_data(
            title=self.found.name,
            of_kind=self.kind,
            heads=[each.verbose_name for each in fields if each.name != "valid_from"],
            rows=[
                {"rate": rate, "held": rate is held, "coming": rate.valid_from > day,
                 "figures": [getattr(rate, name) for name in names]}
                for rate in rates
            ],
            may_change=self.request.user.has_perm(CHANGE),
            archive_url=reverse("pricebook:archive_entry", args=[self.kind, self.found.pk]),
            list_url=reverse("pricebook:entries", args=[self.kind]),
            **kwargs,
        )  # fmt: skip


class AddEntry(OfKind, ServiceFormView):
    """A new entry, then its first figures."""

    permission = CHANGE
    form_class = EntryForm
    button = "Add it"
    success_message = "{made} is in the book. Give its figures next."

    def get_title(self) -> str:
        return f"Add: {self.kind.label}"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"kind": self.kind}

    def act(self, form: Any) -> Any:
        return services.add_entry(
            kind=self.kind, **form.cleaned_data, by=self.request.user, at=self.request.now
        )

    def get_success_url(self) -> str:
        return reverse("pricebook:entry_rate", args=[self.kind, self.made.pk])


class NewEntryRate(OfKind, ServiceFormView):
    """New figures of an entry from a day on."""

    permission = CHANGE
    found_name = "entry"
    button = "Add the figures"
    success_message = "The new figures are in the book."

    def get_title(self) -> str:
        return f"New figures: {self.found}"

    def get_form_class(self) -> Any:
        return RATE_FORMS[self.kind]

    def get_initial(self) -> dict[str, Any]:
        last = self.found.rates.order_by("-valid_from").first()
        names = [name for name in RATE_FORMS[self.kind].base_fields if name != "valid_from"]
        known = {name: getattr(last, name) for name in names} if last else {}
        return known | {"valid_from": clock.london_day(self.request.now)}

    def act(self, form: Any) -> Any:
        figures = dict(form.cleaned_data)
        return services.add_entry_rate(
            kind=self.kind, entry_id=self.found.pk, valid_from=figures.pop("valid_from"),
            figures=figures, by=self.request.user, at=self.request.now,
        )  # fmt: skip

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())


class ArchiveEntry(OfKind, ServiceActionView):
    """Take an entry out of use, or bring it back."""

    permission = CHANGE
    success_message = "Done: {made}."

    def act(self) -> Any:
        return services.archive_entry(
            kind=self.kind, entry_id=self.found.pk, by=self.request.user, at=self.request.now
        )
