"""What may stand in for an item: added, put first, taken out, on the item's page."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404

from jobs.kernel.views import ServiceActionView, ServiceFormView
from stock.catalogue import services
from stock.catalogue.forms import SubstituteForm
from stock.catalogue.models import Item, Substitute
from stock.catalogue.views.items import WRITE, OneItem


class SubstituteAdd(OneItem, ServiceFormView):
    """Names an item that may stand in where this one is short."""

    permission = WRITE
    form_class = SubstituteForm
    button = "Add the stand-in"
    intro = "It is taken only where the item itself is short, and every proposal says so."
    success_message = "Saved."

    def get_title(self) -> str:
        return f"What may stand in for {self.found}"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"item": self.found}

    def act(self, form: Any) -> Item:
        return services.add_substitute(
            item_id=self.found.pk, stand_in_id=form.cleaned_data["stand_in"].pk,
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class OneSubstitute(ServiceActionView):
    """A button beside one stand-in of an item."""

    permission = WRITE

    def find(self) -> Substitute:
        return get_object_or_404(
            Substitute.objects.select_related("item"),
            item_id=self.kwargs["pk"], stand_in_id=self.kwargs["stand_in"],
        )  # fmt: skip

    def get_success_url(self) -> str:
        return str(self.found.item.get_absolute_url())


class SubstituteFirst(OneSubstitute):
    success_message = "It is asked first."

    def act(self) -> Item:
        return services.ask_substitute_first(
            item_id=self.found.item_id, stand_in_id=self.found.stand_in_id,
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class SubstituteRemove(OneSubstitute):
    success_message = "It no longer stands in; what is reserved of it stays."

    def act(self) -> Item:
        return services.remove_substitute(
            item_id=self.found.item_id, stand_in_id=self.found.stand_in_id,
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
