"""Labels as PDF, and what their codes open."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from urllib.parse import urlencode

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from jobs.kernel.views import UNPROCESSABLE, RoomPage, RoomPermissionMixin, ServiceFormView
from jobs.work.enums import Stage
from jobs.work.models import Job
from stock.catalogue.models import Place
from stock.labels import queries, services
from stock.labels.documents import draw_labels
from stock.labels.forms import JobLabelsForm, LotLabelsForm, PlaceLabelsForm
from stock.labels.rules import LotLabel, PlaceLabel
from stock.ledger.models import Lot
from stock.ledger.rules import COUNTED

SEE = "jobs.view_yard"
PRINT = ("jobs.move_stock", "jobs.receive_goods")


def pdf_answer(
    labels: Sequence[LotLabel] | Sequence[PlaceLabel], values: dict[str, Any]
) -> HttpResponse:
    """Return labels as the PDF that a valid form asks for."""
    return HttpResponse(
        draw_labels(labels, values["layout"], start=values["start"]),
        content_type="application/pdf",
        headers={
            "Content-Disposition": 'inline; filename="labels.pdf"',
            "Cache-Control": "private, no-store",
        },
    )


class LabelsPage(RoomPage):
    """A form that is sent by GET, since it changes nothing; the PDF has an address of its own."""

    permission = PRINT
    template_name = "stock/labels/labels.html"
    form_class: Any = None
    title = ""
    pdf_name = ""

    def form(self, data: Any = None) -> Any:
        """Return the form: empty, with what the address brings, or as it was sent."""
        return (
            self.form_class(data) if data is not None else self.form_class(initial=self.initial())
        )

    def initial(self) -> dict[str, Any]:
        """Return what the address brings."""
        return {}

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        kwargs.setdefault("form", self.form())
        return super().get_context_data(
            title=self.title, pdf_url=reverse(self.pdf_name), is_lots=self.pdf_name == LOTS_PDF,
            **kwargs,
        )  # fmt: skip


class LabelsPdf(LabelsPage):
    """The labels themselves, or the form with what is wrong."""

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        form = self.form(request.GET)
        if not form.is_valid():
            context = self.get_context_data(form=form)
            return self.render_to_response(context, status=UNPROCESSABLE)
        values = form.cleaned_data
        # Everything is read by now, and nothing is locked while the paper is drawn.
        return pdf_answer(self.labels(form), values)

    def labels(self, form: Any) -> list[LotLabel] | list[PlaceLabel]:
        """Return what stands on the labels of a valid form."""
        raise NotImplementedError


LOTS_PDF = "labels:lots_pdf"


class LotLabels(LabelsPage):
    form_class = LotLabelsForm
    title = "Labels of lots"
    pdf_name = LOTS_PDF

    def initial(self) -> dict[str, Any]:
        return {"codes": self.request.GET.get("codes", "")[:2000].replace("\x00", "")}


class LotLabelsPdf(LabelsPdf, LotLabels):
    def labels(self, form: Any) -> list[LotLabel]:
        layout = form.cleaned_data["layout"]
        return [queries.lot_label(lot, layout) for lot in form.lots]


class JobLabels(ServiceFormView):
    """The labels of what is reserved for a job: printing them binds it to the job."""

    permission = PRINT
    form_class = JobLabelsForm
    found_name = "job"
    button = "Label it and make the PDF"
    intro = (
        "One label for each lot and colour group, with the job on it. What is labelled is not "
        "moved to another job by itself; give it back on the job's material page to free it. "
        "Print at true size, without fitting to the page."
    )

    def find(self) -> Job:
        job: Job = get_object_or_404(Job, pk=self.kwargs["pk"])
        if job.stage not in Stage.AFTER_WON:
            raise Http404
        return job

    def get_title(self) -> str:
        return f"Labels for {self.found.reference}"

    def get_back_url(self) -> str:
        return reverse("movements:pick", args=[self.found.pk])

    def act(self, form: Any) -> Any:
        return services.label_job(
            job_id=self.found.pk, by=self.request.user, at=self.request.now
        )  # fmt: skip

    def form_valid(self, form: Any) -> HttpResponse:
        answer = super().form_valid(form)
        if answer.status_code == UNPROCESSABLE:
            return answer
        # The marks are written by now; nothing is locked while the paper is drawn.
        values = form.cleaned_data
        return pdf_answer([queries.kept_label(row, values["layout"]) for row in self.made], values)

    def get_success_url(self) -> str:
        return self.get_back_url()


class PlaceLabels(LabelsPage):
    form_class = PlaceLabelsForm
    title = "Labels of places"
    pdf_name = "labels:places_pdf"


class PlaceLabelsPdf(LabelsPdf, PlaceLabels):
    def labels(self, form: Any) -> list[PlaceLabel]:
        return [queries.place_label(place) for place in form.cleaned_data["places"]]


class OpenLot(RoomPermissionMixin):
    """What the code on a lot's label opens; a stranger logs in first and then comes here."""

    permission = SEE

    def find(self) -> Lot:
        return get_object_or_404(Lot, uid=self.kwargs["uid"])

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        return redirect(self.found)


class OpenPlace(RoomPermissionMixin):
    """What the code on a place's label opens: what lies there."""

    permission = SEE

    def find(self) -> Place:
        return get_object_or_404(Place, pk=self.kwargs["pk"], kind__in=COUNTED)

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        return redirect(f"{reverse('ledger:list')}?{urlencode({'place': self.found.pk})}")
