"""Orphan tins: kept when a kit is broken up, paired again, or scrapped."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.views import ConfirmView, ServiceFormView
from stock.ledger.models import Lot
from stock.movements import services
from stock.movements.filters import TinFilter
from stock.movements.forms import AddTinForm, KeepTinForm, PairForm, UndoForm
from stock.movements.models import Tin
from stock.movements.tables import TinTable
from stock.movements.views.postings import MOVE, SEE


class Tins(RoomListView):
    permission = SEE
    title = "Tins without their other part"
    table_class = TinTable
    filterset_class = TinFilter
    search_fields = ("batch", "item__name", "item__code", "lot__code", "why", "place__name")
    search_hint = "Batch, kit, lot or place"
    actions = (Action("Add tins that came alone", "movements:tin_add", MOVE),)
    empty = "Every tin has its other part."

    def get_rows(self) -> Any:
        return Tin.objects.select_related("item", "place", "lot").order_by("-at", "-pk")


class TinStep(ServiceFormView):
    permission = MOVE

    def get_back_url(self) -> str:
        return reverse("movements:tins")

    def get_success_url(self) -> str:
        return self.get_back_url()


class KeepTin(TinStep):
    """Break up kits and keep the part that can be used."""

    form_class = KeepTinForm
    found_name = "lot"
    button = "Break up and keep"
    intro = (
        "The kits are booked as waste; the tins that are kept are no kit and no stock. Leaking "
        "tins: follow the safety data sheet."
    )
    success_message = "Kept: {made}."

    def find(self) -> Lot:
        return get_object_or_404(
            Lot.objects.select_related("item"), pk=self.kwargs["pk"], item__kind="kit"
        )

    def get_title(self) -> str:
        return f"One part of {self.found} cannot be used"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"lot": self.found}

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Tin:
        values = form.cleaned_data
        return services.keep_tin(
            lot_id=self.found.pk, place_id=values["place"].pk, part=values["part"],
            count=values["count"], why=values["why"], key=values["uid"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip


class AddTin(TinStep):
    form_class = AddTinForm
    title = "Tins that came without their other part"
    button = "Add the tins"
    success_message = "Added: {made}."

    def act(self, form: Any) -> Tin:
        values = dict(form.cleaned_data)
        return services.add_tin(
            item_id=values.pop("item").pk, place_id=values.pop("place").pk, key=values.pop("uid"),
            by=self.request.user, at=self.request.now, **values,
        )  # fmt: skip


class OneTin(TinStep):
    found_name = "tin"

    def find(self) -> Tin:
        tin: Tin = get_object_or_404(Tin.objects.select_related("item"), pk=self.kwargs["pk"])
        return tin


class PairTins(OneTin):
    form_class = PairForm
    button = "Make kits"
    intro = (
        "The kits become a lot of their own with both batches and the earlier date. Whether "
        "batches may be mixed is said by the maker's data sheet."
    )
    success_message = "{made} is made; print its label."

    def get_title(self) -> str:
        return f"Pair {self.found}"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"tin": self.found}

    def get_success_url(self) -> str:
        return str(self.made.get_absolute_url())

    def act(self, form: Any) -> Lot:
        values = form.cleaned_data
        return services.pair_tins(
            tin_id=self.found.pk, other_id=values["other"].pk, count=values["count"],
            place_id=values["place"].pk, key=values["uid"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip


class ScrapTin(OneTin, ConfirmView):
    form_class = UndoForm
    button = "Scrap them"
    intro = "Resin and hardener are disposed of as their safety data sheets say."

    def get_title(self) -> str:
        return f"Scrap what is left of {self.found}?"

    def get_form(self, form_class: Any = None) -> Any:
        form: Any = super().get_form(form_class)
        form.fields["reason"].label = "Why, and where do they go?"
        return form

    def act(self, form: Any) -> Tin:
        return services.scrap_tin(
            tin_id=self.found.pk, reason=form.cleaned_data["reason"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip
