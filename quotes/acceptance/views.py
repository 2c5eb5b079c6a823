"""The customer's page, without log-in, and the office's page for an acceptance on paper.

The customer's pages are kept by no cache and found by no search engine; every request counts
against a limit for its network address.
"""

from __future__ import annotations

from typing import Any, ClassVar

from django.conf import settings
from django.core.cache import cache
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.generic import View

from jobs.attachments.services import keep_file
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.views import (
    UNPROCESSABLE,
    ServiceActionView,
    ServiceFormView,
    add_refusal,
)
from quotes.acceptance import queries, rules, services
from quotes.acceptance.forms import AnswerForm, DeclineForm, PaperForm
from quotes.acceptance.queries import Opened
from quotes.documents.queries import pdf_of
from quotes.documents.views import pdf_response
from quotes.quoting.models import Revision
from quotes.quoting.queries import sheet_of
from quotes.quoting.rules import QuoteSheet

GONE = 410
TOO_MANY = 429
PRIVATE = {
    "Cache-Control": "no-store",
    "X-Robots-Tag": "noindex, nofollow",
    "Referrer-Policy": "same-origin",
}


def network_address(request: HttpRequest) -> str | None:
    """Return the address that a request came from; behind a proxy, the one that the proxy saw."""
    forwarded = request.headers.get("X-Forwarded-For", "") if settings.BEHIND_PROXY else ""
    found: str = forwarded.rpartition(",")[2].strip() or request.META.get("REMOTE_ADDR", "")
    return found or None


def too_many(request: HttpRequest) -> bool:
    """Count a request and return whether its network address asked too often this minute."""
    minute = int(request.now.timestamp() // 60)  # type: ignore[attr-defined]
    key = f"quote-link:{network_address(request)}:{minute}"
    cache.add(key, 0, 120)
    try:
        return int(cache.incr(key)) > rules.MOST_A_MINUTE
    except ValueError:  # it expired between the two
        return False


class PublicView(View):
    """A page behind a customer's link. It needs no permission: the token is the key."""

    permission: ClassVar[str] = "public"
    opened: Opened
    sheet: QuoteSheet

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        if too_many(request):
            response: HttpResponseBase = self.say(
                "Too many requests", "Wait a minute, then open the link again.", TOO_MANY
            )
        else:
            response = self.answer(request, *args, **kwargs)
        for name, value in PRIVATE.items():
            response[name] = value
        return response

    def answer(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Find the quote, say why where it cannot be answered, else go on."""
        found = queries.open_link(self.kwargs["token"], request.now)  # type: ignore[attr-defined]
        if found is None:
            return self.say(
                "This link is not one of ours",
                "Check that the whole address was copied, or ask us for a new one.", 404,
            )  # fmt: skip
        if found.shut:
            return self.say("This quote cannot be answered", found.sentence, GONE)
        self.opened, self.sheet = found, sheet_of(found.revision)
        return super().dispatch(request, *args, **kwargs)

    def say(self, title: str, sentence: str, status: int) -> HttpResponse:
        """Return a page that says one sentence."""
        context = {"title": title, "sentence": sentence}
        return render(self.request, "quotes/acceptance/sentence.html", context, status=status)

    def refused(self, refusal: ServiceError) -> HttpResponse | None:
        """Return the page for a refusal that no form can show; None for one at a field."""
        if refusal.code in queries.SHUT or refusal.code == "unknown":
            return self.say("This quote cannot be answered", refusal.message, GONE)
        return None


class QuoteView(PublicView):
    """The quote as the customer sees it, with what he says to accept it."""

    def get(self, request: HttpRequest, token: str) -> HttpResponse:
        services.note_opened(link_id=self.opened.link.pk, at=request.now)  # type: ignore[attr-defined]
        return self.page(AnswerForm(sheet=self.sheet))

    def post(self, request: HttpRequest, token: str) -> HttpResponse:
        form = AnswerForm(request.POST, sheet=self.sheet)
        if not form.is_valid() and not self.opened.accepted:
            return self.page(form, UNPROCESSABLE)
        if not self.opened.accepted:
            try:
                services.accept(
                    token=token, **form.answer, network_address=network_address(request),
                    user_agent=request.headers.get("User-Agent", ""),
                    at=request.now,  # type: ignore[attr-defined]
                )  # fmt: skip
            except ServiceError as refusal:
                shut = self.refused(refusal)
                if shut is not None:
                    return shut
                add_refusal(form, refusal)
                return self.page(form, UNPROCESSABLE)
        return HttpResponseRedirect(reverse("acceptance:quote", args=[token]))

    def page(self, form: AnswerForm, status: int = 200) -> HttpResponse:
        revision, token = self.opened.revision, self.kwargs["token"]
        acceptance = queries.acceptance_of(revision) if self.opened.accepted else None
        context = {
            "title": self.sheet.title, "sheet": self.sheet, "form": form,
            "acceptance": acceptance, "accepted_gross": acceptance.pounds if acceptance else None,
            "pdf_url": reverse("acceptance:pdf", args=[token]) if revision.pdf_uid else "",
            "decline_url": reverse("acceptance:decline", args=[token]),
            "last_day": rules.last_day_to_cancel(london_day(acceptance.at)) if acceptance else None,
        }  # fmt: skip
        return render(self.request, "quotes/acceptance/quote.html", context, status=status)


class DeclineView(PublicView):
    """Say no, and why."""

    def get(self, request: HttpRequest, token: str) -> HttpResponse:
        if self.opened.accepted:
            return HttpResponseRedirect(reverse("acceptance:quote", args=[token]))
        return self.page(DeclineForm())

    def post(self, request: HttpRequest, token: str) -> HttpResponse:
        form = DeclineForm(request.POST)
        if not form.is_valid():
            return self.page(form, UNPROCESSABLE)
        try:
            services.decline(
                token=token, reason=form.cleaned_data["reason"],
                at=request.now,  # type: ignore[attr-defined]
            )  # fmt: skip
        except ServiceError as refusal:
            shut = self.refused(refusal)
            if shut is not None:
                return shut
            add_refusal(form, refusal)
            return self.page(form, UNPROCESSABLE)
        return self.say("Thank you for telling us", "The quote is closed; nothing is due.", 200)

    def page(self, form: DeclineForm, status: int = 200) -> HttpResponse:
        back = reverse("acceptance:quote", args=[self.kwargs["token"]])
        context = {"title": "Decline the quote", "sheet": self.sheet, "form": form, "back": back}
        return render(self.request, "quotes/acceptance/decline.html", context, status=status)


class PdfView(PublicView):
    """The PDF as it was sent."""

    def get(self, request: HttpRequest, token: str) -> HttpResponse:
        attachment = pdf_of(self.opened.revision)
        if attachment is None:
            raise Http404
        return pdf_response(attachment)


class OfSent:
    """Pages of the firm about a sent revision."""

    kwargs: dict[str, Any]
    found_name = "revision"

    def find(self) -> Revision:
        found: Revision = get_object_or_404(Revision.objects.with_job(), pk=self.kwargs["pk"])
        return found


class RecordPaper(OfSent, ServiceFormView):
    """Record an acceptance on paper, with the paper attached."""

    permission = "jobs.record_acceptance"
    form_class = PaperForm
    title = "Record the acceptance"
    intro = "from the customer's order or signed quote"
    button = "Record the acceptance"
    success_message = "Accepted: budget, material requirements and deposit request are on the job."

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"sheet": sheet_of(self.found)}

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Any:
        file = form.cleaned_data["file"]
        kept = keep_file(data=file.read(), name=file.name)
        return services.record_paper(
            revision_id=self.found.pk, kept=kept, **form.answer,
            order_number=form.cleaned_data["order_number"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class SendLinkAgain(OfSent, ServiceActionView):
    """Withdraw the link and mail a new one."""

    permission = "jobs.send_quote"
    success_message = "The old link is withdrawn; a new one is on its way."

    def act(self) -> Any:
        return services.send_link_again(
            revision_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class WithdrawLinks(OfSent, ServiceActionView):
    """Take the link back."""

    permission = "jobs.send_quote"
    success_message = "The link is withdrawn."

    def act(self) -> Any:
        return services.withdraw_links(
            revision_id=self.found.pk, by=self.request.user, at=self.request.now
        )
