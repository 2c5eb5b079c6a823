"""The yard's list, the scanner's field, and the page of a lot."""

from __future__ import annotations

from typing import Any, ClassVar
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from jobs.kernel.lists import RoomListView
from jobs.kernel.paging import BoundedPaginator
from jobs.kernel.panels import drawn_panels
from jobs.kernel.views import ConfirmView, RoomPage, RoomPermissionMixin, ServiceFormView
from stock.catalogue.rules import with_last_word
from stock.ledger import queries, services
from stock.ledger.filters import KeptBackFilter, LotFilter
from stock.ledger.forms import ExtendKeptForm, HoldForm, KeepBackForm, ReleaseForm, ReleaseKeptForm
from stock.ledger.models import KeptBack, Lot, Movement
from stock.ledger.rules import pack_words
from stock.ledger.tables import KeptBackTable, LotTable, MovementTable, lot_level

SEE = "jobs.view_yard"
RELEASE = "jobs.release_lot"
KEEP = "jobs.reserve_stock"


class Yard(RoomListView):
    permission = SEE
    title = "Yard"
    template_name = "stock/ledger/yard.html"
    table_class = LotTable
    filterset_class = LotFilter
    paginator_class = BoundedPaginator
    search_fields = ("code", "run", "batch_a", "batch_b")
    search_hint = "Lot, run, batch, item or place"
    empty = "Nothing is in the yard yet. Goods-in brings the first lot."

    def get_rows(self) -> Any:
        return Lot.objects.for_yard()

    def search(self, rows: Any, words: Any) -> Any:
        """Find each word in the lot's own words, its item's, or the places in which it lies."""
        for word in words:
            rows = rows.with_word(word)
        return rows


class Scan(RoomPermissionMixin):
    """The scanner's field: a lot's code opens the lot, anything else searches the list."""

    permission = SEE

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        code = request.GET.get("code", "").replace("\x00", "").strip()[:100]
        lot = queries.find_lot(code) if code else None
        if lot is not None:
            return redirect(lot)
        if found := queries.PLACE_LABEL.search(code):
            return redirect(f"{reverse('ledger:list')}?{urlencode({'place': found[1]})}")
        if code:
            messages.warning(request, f"No lot has the code '{code}'; searched the list instead.")
        return redirect(f"{reverse('ledger:list')}?{urlencode({'q': code, 'used': 'all'})}")


class OneLot:
    """Finds the lot of the address."""

    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "lot"

    def find(self) -> Lot:
        return get_object_or_404(
            Lot.objects.select_related("item", "parent"), pk=self.kwargs["pk"]
        )  # fmt: skip


class LotDetail(OneLot, RoomPage):
    permission = SEE
    template_name = "stock/ledger/lot.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lot: Lot = self.found
        sees_cost = self.request.user.has_perm("jobs.see_margin")
        balances = lot.balances.filter(quantity__gt=0).select_related("place")
        return super().get_context_data(
            title=lot.code,
            level=lot_level(lot),
            facts=facts_of(lot, sees_cost=sees_cost),
            balances=[(row.place, in_packs(lot, row.quantity)) for row in balances],
            went_to=[
                (row.job, in_packs(lot, row.drawn), in_packs(lot, row.laid))
                for row in queries.jobs_of(lot)
            ],
            parts=lot.parts.order_by("pk"),
            kept_back=[
                (row, in_packs(lot, row.quantity))
                for row in lot.kept_back.open().select_related("job")
            ],
            history=MovementTable(
                Movement.objects.for_lot(lot)[:200], lot=lot, request=self.request
            ),
            panels=drawn_panels(self.request, "lot", lot),
            **kwargs,
        )


def in_packs(lot: Lot, quantity: int) -> str:
    """Write a quantity of a lot in its packs."""
    return pack_words(quantity, lot.item.pack_quantity, lot.item.pack_name)


def facts_of(lot: Lot, *, sees_cost: bool) -> list[tuple[str, ...]]:
    """Return what a lot's page says first."""
    facts: list[tuple[str, ...]] = [
        ("Item", str(lot.item), reverse("catalogue:detail", args=[lot.item_id])),
        ("In the yard", in_packs(lot, lot.on_hand)),
        ("Reserved", in_packs(lot, lot.reserved)),
        ("At sites", in_packs(lot, lot.at_sites)),
    ]
    if lot.run:
        same = f"{reverse('ledger:list')}?{urlencode({'q': lot.run, 'used': 'all'})}"
        facts.append(("Production run", lot.run, same))
    for part, batch, day in (("A", lot.batch_a, lot.expiry_a), ("B", lot.batch_b, lot.expiry_b)):
        if batch or day:
            until = f", use by {day:%d %b %Y}" if day else ""
            facts.append((f"Part {part}", f"{batch or 'no batch'}{until}"))
    if lot.expiry:
        facts.append(("Use by", f"{lot.expiry:%a %d %b %Y}; that day is still good"))
    facts.append(("Came in", f"{in_packs(lot, lot.received)} on {lot.received_on:%d %b %Y}"))
    if lot.parent:
        facts.append(("Split from", lot.parent.code, lot.parent.get_absolute_url()))
    if sees_cost:
        facts.append(("Landed cost", f"£{lot.cost:,}"))
    for words, note in (("Keep", lot.item.storage_note), ("Hazards", lot.item.hazard_note)):
        if note:
            facts.append((words, with_last_word(note)))
    return facts


class LotStep(OneLot, ServiceFormView):
    permission = RELEASE

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())


class HoldLot(LotStep):
    form_class = HoldForm
    button = "Hold the lot"
    intro = "Nothing of a held lot can be reserved or issued until somebody releases it."
    success_message = "{made} is held."

    def get_title(self) -> str:
        return f"Hold {self.found}"

    def act(self, form: Any) -> Lot:
        return services.hold_lot(
            lot_id=self.found.pk, reason=form.cleaned_data["reason"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip


class ReleaseLot(LotStep):
    form_class = ReleaseForm
    button = "Release the lot"
    success_message = "{made} is ready for use."

    def get_title(self) -> str:
        return f"Release {self.found}"

    def act(self, form: Any) -> Lot:
        return services.release_lot(
            lot_id=self.found.pk, reason=form.cleaned_data["reason"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip


# -- kept back for call-backs --------------------------------------------------------------------


class KeptBackList(RoomListView):
    permission = SEE
    title = "Kept back for call-backs"
    table_class = KeptBackTable
    filterset_class = KeptBackFilter
    search_fields = ("lot__code", "lot__run", "lot__item__name", "job__reference", "job__title")
    search_hint = "Lot, run, item or job"
    empty = "Nothing is kept back. A lot's page keeps part of its run for a job's call-backs."

    def get_rows(self) -> Any:
        return KeptBack.objects.for_list()


class KeepBack(OneLot, ServiceFormView):
    permission = KEEP
    form_class = KeepBackForm
    button = "Keep it back"
    intro = "A patch shows less when it is laid from the run of the surface. No job is offered it."
    success_message = "{made}."

    def get_title(self) -> str:
        return f"Keep part of {self.found} back for call-backs"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"lot": self.found}

    def act(self, form: Any) -> KeptBack:
        values = form.cleaned_data
        return services.keep_back(
            lot_id=self.found.pk, job_id=values["job"].pk, quantity=values["quantity"],
            until=values["until"], note=values["note"], key=values["uid"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip


class OneKept:
    """Finds what is still kept back."""

    kwargs: dict[str, Any]
    found: Any

    def find(self) -> KeptBack:
        return get_object_or_404(
            KeptBack.objects.open().select_related("lot__item", "job"), pk=self.kwargs["pk"]
        )

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())


class ExtendKept(OneKept, ServiceFormView):
    permission = KEEP
    form_class = ExtendKeptForm
    button = "Keep it until then"
    success_message = "Kept: {made}."

    def get_title(self) -> str:
        kept: KeptBack = self.found
        return f"{in_packs(kept.lot, kept.quantity)} of {kept}"

    def get_initial(self) -> dict[str, Any]:
        return {"until": self.found.until}

    def act(self, form: Any) -> KeptBack:
        return services.extend_kept_back(
            kept_id=self.found.pk, until=form.cleaned_data["until"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip


class ReleaseKept(OneKept, ConfirmView):
    permission = KEEP
    form_class = ReleaseKeptForm
    button = "Release it"
    intro = "It is free for any job again."
    success_message = "Released: {made}."

    def get_title(self) -> str:
        kept: KeptBack = self.found
        return f"Release {in_packs(kept.lot, kept.quantity)} of {kept}?"

    def act(self, form: Any) -> KeptBack:
        return services.release_kept_back(
            kept_id=self.found.pk, reason=form.cleaned_data["reason"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip
