"""The customer's pages of a quote, behind the link that was mailed."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from jobs.kernel.clock import london_day
from quotes.acceptance import queries, rules, services
from quotes.acceptance.forms import AnswerForm
from quotes.acceptance.queries import Opened
from quotes.acceptance.views.public import AnswerView, LinkView, SayNoView
from quotes.documents.queries import pdf_of
from quotes.documents.views import pdf_response
from quotes.quoting.queries import sheet_of
from quotes.quoting.rules import QuoteSheet


class OfQuote(LinkView):
    """A page behind a link to a quote."""

    room = "acceptance"
    shut_title = "This quote cannot be answered"
    shut_codes = frozenset(queries.SHUT)
    opened: Opened
    sheet: QuoteSheet

    def look_up(self) -> Opened | None:
        return queries.open_link(self.kwargs["token"], self.request.now)

    def take(self, found: Opened) -> None:
        self.opened, self.sheet = found, sheet_of(found.revision)


class QuoteView(OfQuote, AnswerView):
    """The quote as the customer sees it, with what he says to accept it."""

    home = "quote"

    def form_for(self, data: Any = None) -> AnswerForm:
        return AnswerForm(data, sheet=self.sheet)

    def note_opened(self) -> None:
        services.note_opened(link_id=self.opened.link.pk, at=self.request.now)

    def accept(self, form: AnswerForm) -> None:
        services.accept(token=self.kwargs["token"], **form.answer, **self.sent_from)

    def post(self, request: HttpRequest, token: str) -> HttpResponse:
        """Accept it, or show what it comes to with the options that are ticked."""
        if "reckon" in request.POST and not self.opened.accepted:
            return self.page(self.form_for(request.POST).as_typed())
        return super().post(request, token)

    def page(self, form: AnswerForm, status: int = 200) -> HttpResponse:
        revision = self.opened.revision
        acceptance = queries.acceptance_of(revision) if self.opened.accepted else None
        options = acceptance.options if acceptance else form.chosen
        net, vat, gross = rules.total_with(self.sheet, options)
        context = {
            "title": self.sheet.title, "sheet": self.sheet, "form": form,
            "acceptance": acceptance, "accepted_gross": acceptance.pounds if acceptance else None,
            "stages": rules.stages_with(self.sheet, options),
            "sums": {"net": net, "vat": vat, "gross": gross},
            "deposit": rules.deposit_with(self.sheet, options),
            "taken": [line for line in self.sheet.options if line.key in options],
            "pdf_url": self.url("pdf") if revision.pdf_uid else "",
            "decline_url": self.url("decline"),
            "last_day": rules.last_day_to_cancel(
                acceptance.signed_day if acceptance else london_day(self.request.now)
            ),
        }  # fmt: skip
        return render(self.request, "quotes/acceptance/quote.html", context, status=status)


class DeclineView(OfQuote, SayNoView):
    """Say no to a quote, and why."""

    home = "quote"
    title = "Decline the quote"
    done = "The quote is closed; nothing is due."

    def decline(self, reason: str) -> None:
        services.decline(token=self.kwargs["token"], reason=reason, at=self.request.now)

    def context(self) -> dict[str, Any]:
        return {"lead": f"{self.sheet.title_line}, {self.sheet.title}"}


class PdfView(OfQuote):
    """The PDF as it was sent."""

    def get(self, request: HttpRequest, token: str) -> HttpResponse:
        del request, token
        attachment = pdf_of(self.opened.revision)
        if attachment is None:
            raise Http404
        return pdf_response(attachment)
