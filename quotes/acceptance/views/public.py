"""Pages behind a link, without log-in: of a quote, or of a variation of one.

They are kept by no cache and found by no search engine; every request counts against a limit for
its network address. Each works without JavaScript.
"""

from __future__ import annotations

from typing import Any, ClassVar

from django.conf import settings
from django.core.cache import cache
from django.forms import Form
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.generic import View

from jobs.kernel.errors import ServiceError
from jobs.kernel.views import UNPROCESSABLE, add_refusal
from quotes.acceptance import rules
from quotes.acceptance.forms import DeclineForm

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


class LinkView(View):
    """A page behind a customer's link. It needs no permission: the token is the key.

    A room says what its link leads to: `look_up()`, `take()`, and the words.
    """

    permission: ClassVar[str] = "public"
    room: ClassVar[str] = ""
    shut_title: ClassVar[str] = ""
    shut_codes: ClassVar[frozenset[str]] = frozenset()
    request: Any
    opened: Any

    def look_up(self) -> Any:
        """Return what the token leads to, with `shut`, `sentence` and `accepted`; or None."""
        raise NotImplementedError

    def take(self, found: Any) -> None:
        """Keep what the page is drawn from."""
        self.opened = found

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
        """Find what the link leads to, say why where it cannot be answered, else go on."""
        found = self.look_up()
        if found is None:
            return self.say(
                "This link is not one of ours",
                "Check that the whole address was copied, or ask us for a new one.", 404,
            )  # fmt: skip
        if found.shut:
            return self.say(self.shut_title, found.sentence, GONE)
        self.take(found)
        return super().dispatch(request, *args, **kwargs)

    def say(self, title: str, sentence: str, status: int) -> HttpResponse:
        """Return a page that says one sentence."""
        context = {"title": title, "sentence": sentence}
        return render(self.request, "quotes/acceptance/sentence.html", context, status=status)

    def refused(self, refusal: ServiceError) -> HttpResponse | None:
        """Return the page for a refusal that no form can show; None for one at a field."""
        if refusal.code in self.shut_codes or refusal.code == "unknown":
            return self.say(self.shut_title, refusal.message, GONE)
        return None

    def url(self, name: str) -> str:
        """Return the address of another page behind the same link."""
        return reverse(f"{self.room}:{name}", args=[self.kwargs["token"]])

    @property
    def sent_from(self) -> dict[str, Any]:
        """What is kept of the request with an answer: address, browser, instant."""
        return {
            "network_address": network_address(self.request),
            "user_agent": self.request.headers.get("User-Agent", ""),
            "at": self.request.now,
        }


class AnswerView(LinkView):
    """The paper as the customer sees it, with what he says to accept it."""

    home: ClassVar[str] = ""

    def form_for(self, data: Any = None) -> Any:
        """Return the form of the answer."""
        raise NotImplementedError

    def accept(self, form: Any) -> None:
        """Call the service that accepts."""
        raise NotImplementedError

    def note_opened(self) -> None:
        """Call the service that notes the first opening."""

    def page(self, form: Any, status: int = 200) -> HttpResponse:
        """Return the page with the form in it."""
        raise NotImplementedError

    def get(self, request: HttpRequest, token: str) -> HttpResponse:
        del request, token
        self.note_opened()
        return self.page(self.form_for())

    def post(self, request: HttpRequest, token: str) -> HttpResponse:
        del token
        form = self.form_for(request.POST)
        if not self.opened.accepted:
            if not form.is_valid():
                return self.page(form, UNPROCESSABLE)
            try:
                self.accept(form)
            except ServiceError as refusal:
                shut = self.refused(refusal)
                if shut is not None:
                    return shut
                add_refusal(form, refusal)
                return self.page(form, UNPROCESSABLE)
        return HttpResponseRedirect(self.url(self.home))


class SayNoView(LinkView):
    """Say no, and why."""

    home: ClassVar[str] = ""
    done: ClassVar[str] = ""
    title: ClassVar[str] = ""
    template_name: ClassVar[str] = "quotes/acceptance/decline.html"

    def decline(self, reason: str) -> None:
        """Call the service that declines."""
        raise NotImplementedError

    def context(self) -> dict[str, Any]:
        """Return what the page names beside the form."""
        return {}

    def get(self, request: HttpRequest, token: str) -> HttpResponse:
        del request, token
        if self.opened.accepted:
            return HttpResponseRedirect(self.url(self.home))
        return self.page(DeclineForm())

    def post(self, request: HttpRequest, token: str) -> HttpResponse:
        del token
        form = DeclineForm(request.POST)
        if not form.is_valid():
            return self.page(form, UNPROCESSABLE)
        try:
            self.decline(form.cleaned_data["reason"])
        except ServiceError as refusal:
            shut = self.refused(refusal)
            if shut is not None:
                return shut
            add_refusal(form, refusal)
            return self.page(form, UNPROCESSABLE)
        return self.say("Thank you for telling us", self.done, 200)

    def page(self, form: Form, status: int = 200) -> HttpResponse:
        """Return the page with the form in it."""
        context = {
            "title": self.title,
            "form": form,
            "back": self.url(self.home),
            "button": self.title,
        }
        return render(self.request, self.template_name, context | self.context(), status=status)
