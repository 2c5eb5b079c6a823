"""Holding a lot with photo and reason, photos of a lot, and kits still in vans."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.shortcuts import get_object_or_404

from jobs.kernel.views import RoomPage, ServiceFormView
from jobs.work.services import attach_files
from stock.conditions import queries, services
from stock.conditions.enums import HoldCause
from stock.conditions.forms import HoldForm, PhotosForm
from stock.conditions.views.places import MOVE, SEE
from stock.ledger.models import Lot


class LotPage(ServiceFormView):
    found_name = "lot"

    def find(self) -> Lot:
        return get_object_or_404(Lot.objects.select_related("item"), pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())


class Hold(LotPage):
    permission = "jobs.release_lot"
    template_name = "stock/conditions/hold.html"
    form_class = HoldForm
    button = "Hold it"

    def get_title(self) -> str:
        return f"Hold {self.found} with a photo"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"lot": self.found}

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        causes = [(cause.label, cause.advice) for cause in HoldCause]
        return super().get_context_data(causes=causes, **kwargs)

    def act(self, form: Any) -> Lot:
        values = form.cleaned_data
        lot = services.hold_with_photos(
            lot_id=self.found.pk, cause=values["cause"], words=values["words"],
            place=values["place"], quantity=values["quantity"],
            files=[(file.name, file.read()) for file in values["file"]], key=values["uid"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
        cause = HoldCause(values["cause"])
        messages.success(self.request, f"{lot}, {cause.label}. {cause.advice}")
        return lot


class AddPhotos(LotPage):
    permission = MOVE
    form_class = PhotosForm
    button = "Add the photos"
    intro = "Photos lose what they know of place and camera."
    success_message = "Added to {found}."

    def get_title(self) -> str:
        return f"Add photos of {self.found}"

    def act(self, form: Any) -> None:
        attach_files(
            about=self.found, caption=form.cleaned_data["caption"], permission=SEE,
            files=[(file.name, file.read()) for file in form.cleaned_data["file"]],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class Vans(RoomPage):
    """Resin that would spend the night in a van, which is colder and hotter than any store."""

    permission = SEE
    template_name = "stock/conditions/vans.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            title="Kits still in vans", loads=queries.kits_in_vans(), **kwargs
        )
