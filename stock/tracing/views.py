"""The trace both ways, and the recall sheet in one press."""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.text import slugify

from jobs.kernel.clock import london_day
from jobs.kernel.lists import Action, RoomListView, csv_file, safe_cell
from jobs.kernel.views import ConfirmView, RoomPage, RoomPermissionMixin
from jobs.work.models import Job
from stock.ledger.models import Lot
from stock.tracing import documents, queries, services
from stock.tracing.enums import Share
from stock.tracing.filters import SurfaceFilter, TraceFilter
from stock.tracing.forms import HoldAllForm
from stock.tracing.tables import SurfaceTable, TraceTable

SEE = "jobs.view_yard"
# The sheet names customers with their telephone numbers.
RECALL = ("jobs.release_lot", "jobs.manage_customers")


class Traces(RoomListView):
    permission = SEE
    title = "Trace"
    table_class = TraceTable
    filterset_class = TraceFilter
    search_fields = (
        "code", "run", "batch_a", "batch_b", "item__name", "item__code",
        "goods_in_lines__goods_in__delivery_note",
        "goods_in_lines__goods_in__order__reference",
        "goods_in_lines__goods_in__order__supplier__name",
    )  # fmt: skip
    search_hint = "Batch, run, lot, item, supplier or order"
    actions = (Action("Surfaces", "tracing:surfaces", SEE, solid=False),)
    empty = "No lot has come in yet."

    def get_rows(self) -> Any:
        return queries.lots_for_list()


class Surfaces(RoomListView):
    permission = SEE
    title = "Surfaces laid"
    table_class = SurfaceTable
    filterset_class = SurfaceFilter
    search_fields = (
        "name", "area_name", "blend__name", "lay_day__job__reference", "lay_day__job__site__name",
        "lay_day__job__site__address", "lay_day__job__customer__name",
        "mixes__posting__movements__lot__code", "mixes__posting__movements__lot__run",
        "mixes__posting__movements__lot__batch_a", "mixes__posting__movements__lot__batch_b",
    )  # fmt: skip
    search_hint = "Job, site, customer, area, batch, run or lot"
    actions = (Action("Lots and batches", "tracing:list", SEE, solid=False),)
    empty = "Nothing has been laid yet."

    def get_rows(self) -> Any:
        return queries.surfaces_for_list()


class OneShare:
    """Finds the lot of the address; 404 where its label has no such run or batch."""

    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "lot"

    def find(self) -> Lot:
        lot = get_object_or_404(Lot.objects.select_related("item"), pk=self.kwargs["pk"])
        if self.kwargs["share"] not in queries.shares_of(lot):
            raise Http404
        return lot


class LotTrace(OneShare, RoomPage):
    """From a lot, run or batch to the jobs and surfaces that have it."""

    permission = SEE
    template_name = "stock/tracing/lot.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        recall = queries.recall_of(self.found, self.kwargs["share"])
        user = self.request.user
        return super().get_context_data(
            title=f"Trace of {recall.title}", recall=recall, kind=Share(recall.share),
            may_recall=any(user.has_perm(verb) for verb in RECALL), **kwargs,
        )  # fmt: skip


class RecallSheet(OneShare, RoomPage):
    """Where every unit is now, and whom to tell."""

    permission = RECALL
    template_name = "stock/tracing/recall.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        recall = queries.recall_of(self.found, self.kwargs["share"])
        return super().get_context_data(
            title=f"Recall of {recall.title}", recall=recall, kind=Share(recall.share), **kwargs
        )


def file_of(content: bytes, kind: str, name: str, *, shown: bool = False) -> HttpResponse:
    """Return a file; `shown` opens it in the browser."""
    how = "inline" if shown else "attachment"
    return HttpResponse(
        content, content_type=kind,
        headers={"Content-Disposition": f'{how}; filename="{name}"'},
    )  # fmt: skip


class RecallPdf(OneShare, RoomPermissionMixin):
    permission = RECALL

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        recall = queries.recall_of(self.found, self.kwargs["share"])
        content = documents.recall_pdf(recall, printed_at=self.request.now)
        return file_of(
            content, "application/pdf", recall_name(recall, self.request.now, "pdf"), shown=True
        )


class RecallCsv(OneShare, RoomPermissionMixin):
    permission = RECALL

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        recall = queries.recall_of(self.found, self.kwargs["share"])
        content, kind = csv_file(
            [safe_cell(cell) for cell in row] for row in documents.recall_rows(recall)
        )
        return file_of(content, kind, recall_name(recall, self.request.now, "csv"))


def recall_name(recall: queries.Recall, now: Any, end: str) -> str:
    """Return the name of a recall's file."""
    return f"recall-{slugify(recall.title)[:60]}-{london_day(now):%Y-%m-%d}.{end}"


class HoldAll(OneShare, ConfirmView):
    """Hold all that is left of it, in the yard and at sites."""

    permission = "jobs.release_lot"
    form_class = HoldAllForm
    button = "Hold what is left"
    intro = (
        "Every lot of it of which something lies in a bay, in a van or at a site is held, each "
        "with these words. Ring the crews that have some of it: a hold stops no mixer."
    )

    def get_title(self) -> str:
        return f"Hold what is left of {queries.subject_words(self.found, self.kwargs['share'])}?"

    def get_back_url(self) -> str:
        return reverse("tracing:recall", args=[self.found.pk, self.kwargs["share"]])

    def get_success_url(self) -> str:
        return self.get_back_url()

    def act(self, form: Any) -> list[Lot]:
        held = services.hold_like(
            lot_id=self.found.pk, share=self.kwargs["share"], reason=form.cleaned_data["reason"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
        messages.success(self.request, f"Held: {', '.join(lot.code for lot in held)}.")
        return held


class OneJob:
    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "job"

    def find(self) -> Job:
        job: Job = get_object_or_404(
            Job.objects.select_related("customer", "site"), pk=self.kwargs["pk"]
        )
        return job


class JobTracePage(OneJob, RoomPage):
    """From a surface to its lots, batches, their storage and the day's figures."""

    permission = SEE
    template_name = "stock/tracing/job.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            title=f"What {self.found.reference} is made of",
            trace=queries.job_trace(self.found, now=self.request.now),
            **kwargs,
        )


class JobTraceCsv(OneJob, RoomPermissionMixin):
    permission = SEE

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        trace = queries.job_trace(self.found, now=self.request.now)
        content, kind = csv_file(
            [safe_cell(cell) for cell in row] for row in documents.trace_rows(trace)
        )
        day = london_day(self.request.now)
        return file_of(content, kind, f"surface-{self.found.reference}-{day:%Y-%m-%d}.csv")
