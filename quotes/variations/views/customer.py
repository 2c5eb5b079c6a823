"""The customer's pages of a variation, behind the link that was mailed."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from jobs.attachments.models import Attachment
from jobs.kernel.clock import london_day
from quotes.acceptance.rules import last_day_to_cancel
from quotes.acceptance.views.public import AnswerView, LinkView, SayNoView
from quotes.documents.views import pdf_response
from quotes.variations import queries, services
from quotes.variations.forms import SignForm
from quotes.variations.queries import Opened
from quotes.variations.rules import VariationSheet


class OfVariation(LinkView):
    """A page behind a link to a variation."""

    room = "variations"
    shut_title = "This variation cannot be answered"
    shut_codes = frozenset(queries.SHUT)
    opened: Opened
    sheet: VariationSheet

    def look_up(self) -> Opened | None:
        return queries.open_link(self.kwargs["token"], self.request.now)

    def take(self, found: Opened) -> None:
        self.opened, self.sheet = found, queries.sheet_of(found.variation, self.request.now)


class AnswerVariation(OfVariation, AnswerView):
    """The variation as the customer sees it, with what he says to accept it."""

    home = "answer"

    def form_for(self, data: Any = None) -> SignForm:
        return SignForm(data, sheet=self.sheet)

    def note_opened(self) -> None:
        services.note_opened(link_id=self.opened.link.pk, at=self.request.now)

    def accept(self, form: SignForm) -> None:
        services.accept(token=self.kwargs["token"], **form.answer, **self.sent_from)

    def page(self, form: SignForm, status: int = 200) -> HttpResponse:
        answer = queries.answer_of(self.opened.variation) if self.opened.accepted else None
        context = {
            "title": self.sheet.title, "sheet": self.sheet, "form": form, "answer": answer,
            "counted": queries.counted(self.opened.variation),
            "pdf_url": self.url("pdf") if self.opened.variation.pdf_uid else "",
            "decline_url": self.url("decline"),
            "last_day": last_day_to_cancel(
                answer.signed_day if answer else london_day(self.request.now)
            ),
        }  # fmt: skip
        return render(self.request, "quotes/variations/answer.html", context, status=status)


class DeclineVariation(OfVariation, SayNoView):
    """Say no to a variation, and why."""

    home = "answer"
    title = "Decline the variation"
    done = "The variation is closed; the job goes on as agreed before."

    def decline(self, reason: str) -> None:
        services.decline(token=self.kwargs["token"], reason=reason, at=self.request.now)

    def context(self) -> dict[str, Any]:
        return {"lead": f"{self.sheet.title_line}, {self.sheet.title}"}


class VariationPdf(OfVariation):
    """The PDF as it was sent."""

    def get(self, request: HttpRequest, token: str) -> HttpResponse:
        del request, token
        uid = self.opened.variation.pdf_uid
        attachment = Attachment.objects.filter(uid=uid, removed_at=None).first() if uid else None
        if attachment is None:
            raise Http404
        return pdf_response(attachment)
