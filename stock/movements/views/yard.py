"""Waste, moving and counting in the yard."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.views import ServiceFormView
from stock.catalogue.models import Place
from stock.ledger.models import Lot, Posting
from stock.ledger.rules import COUNTED
from stock.movements import queries, services
from stock.movements.forms import CountForm, TransferForm, WasteForm


class LotFlow(ServiceFormView):
    permission = "jobs.move_stock"
    found_name = "lot"

    def find(self) -> Lot:
        return get_object_or_404(Lot.objects.select_related("item"), pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"lot": self.found}


class Waste(LotFlow):
    form_class = WasteForm
    button = "Book as waste"
    success_message = "Booked as waste."

    def get_title(self) -> str:
        return f"Waste of {self.found}"

    def act(self, form: Any) -> Posting:
        values = form.cleaned_data
        return services.waste_stock(
            lot_id=self.found.pk, place_id=values["from_place"].pk, quantity=values["quantity"],
            reason=values["reason"], key=values["uid"], day=london_day(self.request.now),
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class Transfer(LotFlow):
    form_class = TransferForm
    button = "Move it"
    success_message = "Moved."

    def get_title(self) -> str:
        return f"Move {self.found}"

    def act(self, form: Any) -> Posting:
        values = form.cleaned_data
        return services.transfer_stock(
            lot_id=self.found.pk, from_place_id=values["from_place"].pk,
            to_place_id=values["to_place"].pk, quantity=values["quantity"], key=values["uid"],
            day=london_day(self.request.now), by=self.request.user, at=self.request.now,
        )  # fmt: skip


class Count(ServiceFormView):
    permission = "jobs.move_stock"
    form_class = CountForm
    found_name = "place"
    button = "Book the count"
    intro = (
        "Write what you see, in packs; the book's figures are not shown. "
        "Leave a lot empty that you did not count; write 0 where nothing is left."
    )

    def find(self) -> Place:
        return get_object_or_404(
            Place, pk=self.kwargs["pk"], kind__in=COUNTED, archived_at=None
        )  # fmt: skip

    def get_title(self) -> str:
        return f"Count {self.found}"

    def get_back_url(self) -> str:
        return reverse("catalogue:places")

    def get_success_url(self) -> str:
        return reverse("catalogue:places")

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"lots": queries.lots_in(self.found)}

    def act(self, form: Any) -> services.CountResult:
        result = services.count_place(
            place_id=self.found.pk, counted=form.cleaned_data["counted"],
            key=form.cleaned_data["uid"], by=self.request.user, at=self.request.now,
            may_approve=self.request.user.has_perm("jobs.approve_count"),
        )  # fmt: skip
        said = [
            f"{row.lot.code}: {'+' if row.change > 0 else '−'}"
            f"{services.words(row.lot, abs(row.change))}"
            for row in result.differences
        ]
        messages.success(
            self.request,
            f"Counted; the differences were booked: {', '.join(said)}." if said
            else "Counted; it agrees with the book.",
        )  # fmt: skip
        return result
