"""Asking for a quote's PDF, seeing it being drawn, opening it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.attachments.models import Attachment
from jobs.attachments.queries import read_bytes
from jobs.kernel.views import RoomPage, RoomPermissionMixin, ServiceActionView
from quotes.documents import queries, services
from quotes.documents.enums import RenderState
from quotes.documents.forms import CompareForm
from quotes.documents.models import PagePicture, Rendering
from quotes.documents.rules import PICTURE_TRIES, compare
from quotes.quoting.models import Quote, Revision

PICTURES_AWAITED = timedelta(seconds=30)
AGAIN = "The PDF itself is good. It is tried again by itself in some minutes."
BY_HAND = "The PDF itself is good. It is not tried again by itself; ask for it here."
SEE = ("jobs.write_quote", "jobs.send_quote", "jobs.see_margin")


def pdf_response(attachment: Attachment) -> HttpResponse:
    """Return the PDF's bytes, shown in the browser and kept by nobody on the way."""
    response = HttpResponse(read_bytes(attachment), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{attachment.name}"'
    response["Cache-Control"] = "private, no-store"
    return response


class OpenPdf(RoomPage):
    """The PDF of a sent revision; of a draft, the question whether to draw it as it stands."""

    permission = SEE
    template_name = "quotes/documents/ask.html"
    found_name = "revision"

    def find(self) -> Revision:
        found: Revision = get_object_or_404(Revision.objects.with_job(), pk=self.kwargs["pk"])
        return found

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        attachment = queries.pdf_of(self.found)
        if attachment is not None:
            return pdf_response(attachment)
        return super().get(request, *args, **kwargs)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        ask_url = reverse("documents:ask", args=[self.found.pk])
        return super().get_context_data(title="PDF of the quote", ask_url=ask_url, **kwargs)


class AskPdf(ServiceActionView):
    """Have the PDF drawn by a worker."""

    permission = SEE

    def find(self) -> Revision:
        found: Revision = get_object_or_404(Revision, pk=self.kwargs["pk"])
        return found

    def act(self) -> Rendering:
        return services.ask_rendering(
            revision_id=self.found.pk, by=self.request.user, at=self.request.now
        )

    def get_success_url(self) -> str:
        if self.made is None:
            return str(self.found.get_absolute_url())
        return reverse("documents:progress", args=[self.made.uid])


class Progress(RoomPage):
    """How far a drawing is; the page asks again until it is done, by itself or by its button."""

    permission = SEE
    template_name = "quotes/documents/progress.html"
    found_name = "rendering"

    def find(self) -> Rendering:
        rows = Rendering.objects.select_related("revision__quote__job")
        return get_object_or_404(rows, uid=self.kwargs["uid"])

    def get_template_names(self) -> list[str]:
        if getattr(self.request, "htmx", False):
            return ["quotes/documents/progress.html#state"]
        return super().get_template_names()

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        row, finished = self.found, self.found.finished_at
        pictures = list(row.pictures.all()) if row.state == RenderState.READY else []
        done = {RenderState.READY: 3 if pictures else 2, RenderState.RENDERING: 1}.get(
            RenderState(row.state), 0
        )
        # The pages follow the PDF by a moment; where they do not come, a person asks again.
        awaited = finished is not None and self.request.now - finished < PICTURES_AWAITED
        return super().get_context_data(
            title="PDF of the quote", done=done, pictures=pictures,
            working=row.state in {RenderState.DUE, RenderState.RENDERING}
            or (row.state == RenderState.READY and not pictures and awaited),
            picture_remedy=AGAIN if row.pictures_tries < PICTURE_TRIES else BY_HAND,
            ask_url=reverse("documents:ask", args=[self.found.revision_id]), **kwargs,
        )  # fmt: skip


class Pages(RoomPermissionMixin):
    """The pages of a revision's PDF: leads to its drawing, or to the question whether to draw."""

    permission = SEE

    def find(self) -> Revision:
        found: Revision = get_object_or_404(Revision, pk=self.kwargs["pk"])
        return found

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        row = queries.newest_ready(self.found)
        if row is None:
            return HttpResponseRedirect(reverse("documents:open", args=[self.found.pk]))
        return HttpResponseRedirect(reverse("documents:progress", args=[row.uid]))


class PageAsPicture(RoomPermissionMixin):
    """One page of a drawn PDF as a picture."""

    permission = SEE

    def find(self) -> Attachment:
        picture = get_object_or_404(
            PagePicture, rendering__uid=self.kwargs["uid"], number=self.kwargs["number"]
        )
        return get_object_or_404(Attachment, uid=picture.attachment_uid, removed_at=None)

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            data = read_bytes(self.found)
        except OSError as error:
            raise Http404 from error
        # What a drawing shows never changes: its address names it.
        return HttpResponse(
            data, content_type=self.found.content_type,
            headers={"Cache-Control": "private, max-age=3600"},
        )  # fmt: skip


class ComparePage(RoomPage):
    """Two revisions of a quote side by side; without a choice, the last two."""

    permission = SEE
    template_name = "quotes/documents/compare.html"
    found_name = "quote"

    def find(self) -> Quote:
        rows = Quote.objects.select_related("job__customer")
        return get_object_or_404(rows, pk=self.kwargs["pk"])

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        revisions = queries.versions(self.found)
        by_number = {revision.number: revision for revision in revisions}
        form = CompareForm(self.request.GET or None, revisions=revisions)
        form.full_clean()
        comparison, sees = None, self.request.user.has_perm("jobs.see_margin")
        if len(revisions) > 1 and not form.errors:
            old, new = form.chosen
            comparison = compare(
                queries.version_of(by_number[old], sees_margin=sees),
                queries.version_of(by_number[new], sees_margin=sees),
            )
        return super().get_context_data(
            title="Revisions side by side", form=form, revisions=revisions,
            comparison=comparison, back=revisions[-1].get_absolute_url() if revisions else "",
            consumer=self.found.job.customer.is_consumer, **kwargs,
        )  # fmt: skip


class DrawnPdf(RoomPermissionMixin):
    """The bytes of a PDF that was drawn."""

    permission = SEE

    def find(self) -> Attachment:
        row = get_object_or_404(Rendering, uid=self.kwargs["uid"], state=RenderState.READY)
        return get_object_or_404(Attachment, uid=row.attachment_uid, removed_at=None)

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            return pdf_response(self.found)
        except OSError as error:
            raise Http404 from error
