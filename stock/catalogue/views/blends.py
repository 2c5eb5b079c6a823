"""Pages of blend cards."""

from __future__ import annotations

from typing import Any, ClassVar

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.panels import drawn_panels
from jobs.kernel.versionviews import VersionedFormView
from jobs.kernel.views import RoomPage, ServiceFormView
from quotes.engine.errors import EngineError
from stock.catalogue import services
from stock.catalogue.forms import BlendEditForm, BlendForm, blend_initial
from stock.catalogue.models import Blend
from stock.catalogue.rules import card
from stock.catalogue.tables import BlendTable

SEE = "jobs.view_yard"
WRITE = "jobs.manage_catalogue"


class Blends(RoomListView):
    permission = SEE
    title = "Blends"
    table_class = BlendTable
    search_fields = ("name", "kit__name", "components__item__name")
    search_hint = "Blend, kit or stone"
    actions = (
        Action("From a sheet", "catalogue:blend_import", WRITE, solid=False),
        Action("Add a blend", "catalogue:blend_create", WRITE),
    )
    empty = "No blend cards yet."

    def get_rows(self) -> Any:
        return Blend.objects.current().for_list()


class OneBlend:
    kwargs: dict[str, Any]
    found: Any
    found_name: ClassVar[str] = "blend"

    def find(self) -> Blend:
        return get_object_or_404(Blend.objects.for_list(), pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())


class BlendCard(OneBlend, RoomPage):
    permission = SEE
    template_name = "stock/catalogue/blend.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        blend: Blend = self.found
        rows = list(blend.components.all())
        try:
            reckoned = card(
                kit=blend.kit, components=[(row.item, row.bags) for row in rows],
                yield_area_m2=blend.yield_area_m2, yield_depth_mm=blend.yield_depth_mm,
                compacted_density=blend.compacted_density,
            )  # fmt: skip
            problem = ""
        except EngineError as error:
            reckoned, problem = None, error.message
        return super().get_context_data(
            title=blend.name, rows=rows, card=reckoned, problem=problem,
            panels=drawn_panels(self.request, "blend", blend), **kwargs,
        )  # fmt: skip


class BlendCreate(ServiceFormView):
    permission = WRITE
    form_class = BlendForm
    title = "Add a blend"
    button = "Add the blend"
    success_message = "Added {made}."

    def get_back_url(self) -> str:
        return reverse("catalogue:blends")

    def act(self, form: Any) -> Blend:
        return services.add_blend(by=self.request.user, at=self.request.now, **form.cleaned_data)


class BlendEdit(OneBlend, VersionedFormView):
    permission = WRITE
    form_class = BlendEditForm
    button = "Save the blend"
    success_message = "Saved {made}."

    def get_title(self) -> str:
        return f"Change {self.found}"

    def get_initial(self) -> dict[str, Any]:
        return super().get_initial() | blend_initial(self.found)

    def change(self, form: Any) -> Blend:
        values = {name: form.cleaned_data[name] for name in form.compared()}
        return services.change_blend(
            blend_id=self.found.pk, version=form.cleaned_data["version"],
            components=form.cleaned_data["components"], by=self.request.user, at=self.request.now,
            **values,
        )  # fmt: skip
