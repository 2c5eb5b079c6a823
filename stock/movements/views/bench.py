"""The bench: one field for the scanner, one big button for each flow; and waste with its notes."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from jobs.attachments.queries import attachments_of
from jobs.kernel.clock import london_day
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.views import ConfirmView, RoomPage, RoomPermissionMixin, ServiceFormView
from stock.movements import queries, services
from stock.movements.enums import Flow
from stock.movements.filters import WasteFilter
from stock.movements.forms import NoteForm, VoidForm
from stock.movements.models import WasteNote
from stock.movements.tables import WasteTable
from stock.movements.views.postings import MOVE, SEE


class Bench(RoomPage):
    """Works with a scanner that types and sends Enter, with gloves on a phone, and with keys."""

    permission = MOVE
    template_name = "stock/movements/bench.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            title="At the bench", flows=[flow for flow in Flow if flow != Flow.OPEN],
            code=self.request.GET.get("code", "")[:200], **kwargs,
        )  # fmt: skip


class ScanTo(RoomPermissionMixin):
    """Opens the page that does with a code what its button says; Enter alone opens it."""

    permission = MOVE

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        flow = request.GET.get("do", Flow.OPEN)
        if flow not in Flow.values:
            flow = Flow.OPEN
        url, why = queries.where_to(request.GET.get("code", ""), flow)
        if url:
            return redirect(url)
        messages.warning(request, why)
        return redirect("movements:bench")


class WasteList(RoomListView):
    permission = SEE
    title = "Waste"
    table_class = WasteTable
    filterset_class = WasteFilter
    search_fields = (
        "reason", "job__reference", "movements__lot__code", "movements__lot__item__name",
        "waste_line__note__number", "waste_line__note__carrier",
    )  # fmt: skip
    search_hint = "Lot, item, job, reason, note or carrier"
    actions = (Action("Record a note", "movements:note_new", MOVE),)
    empty = "Nothing was wasted yet."

    def get_rows(self) -> Any:
        return queries.waste_for_list()


class NoteNew(ServiceFormView):
    permission = MOVE
    form_class = NoteForm
    title = "The note with which waste left"
    button = "Record the note"
    success_message = "Recorded: {made}."

    def get_back_url(self) -> str:
        return reverse("movements:waste_list")

    def get_initial(self) -> dict[str, Any]:
        return {"taken_on": london_day(self.request.now), "kind": "transfer"}

    def get_form_kwargs(self) -> dict[str, Any]:
        rows = queries.waste_without_note()[:200]
        waste = [
            (str(row.pk), f"{row.day:%d %b %Y}: {queries.waste_words(row)}; {row.reason}")
            for row in rows
        ]
        return super().get_form_kwargs() | {"waste": waste}

    def act(self, form: Any) -> WasteNote:
        values = dict(form.cleaned_data)
        files = [(file.name, file.read()) for file in values.pop("file")]
        return services.record_note(
            posting_ids=[int(pk) for pk in values.pop("postings")], key=values.pop("uid"),
            files=files, by=self.request.user, at=self.request.now, **values,
        )  # fmt: skip


class OneNote:
    kwargs: dict[str, Any]
    found: Any
    found_name = "note"

    def find(self) -> WasteNote:
        note: WasteNote = get_object_or_404(
            WasteNote.objects.select_related("by"), pk=self.kwargs["pk"]
        )
        return note


class Note(OneNote, RoomPage):
    permission = SEE
    template_name = "stock/movements/note.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        note: WasteNote = self.found
        rows = queries.waste_for_list().filter(waste_line__note=note)
        user = self.request.user
        return super().get_context_data(
            title=str(note).capitalize(),
            rows=[(row, queries.waste_words(row)) for row in rows],
            files=[file for file in attachments_of(note) if user.has_perm(file.permission)],
            facts=[
                ("Carrier", note.carrier), ("Registration", note.registration),
                ("Taken to", note.taken_to), ("Taken on", f"{note.taken_on:%d %b %Y}"),
                ("What it is", note.words),
            ],
            **kwargs,
        )  # fmt: skip


class NoteVoid(OneNote, ConfirmView):
    permission = MOVE
    form_class = VoidForm
    button = "Void the note"
    intro = "Its waste waits for a note again. The note stays in the book, marked void."

    def find(self) -> WasteNote:
        note = super().find()
        if note.voided_at is not None:
            raise Http404
        return note

    def get_title(self) -> str:
        return f"Void {self.found}?"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> WasteNote:
        return services.void_note(
            note_id=self.found.pk, reason=form.cleaned_data["reason"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip
