"""The firm's own words: a list, and a page for each kind and channel with a look before saving."""

from __future__ import annotations

from typing import Any, ClassVar

from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.lists import RoomListView
from jobs.kernel.views import ServiceActionView, ServiceFormView
from jobs.messages import queries, rules, services
from jobs.messages.enums import Kind
from jobs.messages.filters import WordingFilter
from jobs.messages.forms import WordingForm
from jobs.messages.models import Wording
from jobs.messages.rules import Words
from jobs.messages.tables import WordingTable
from jobs.outbox.enums import Channel
from jobs.outbox.rules import length_of, plain_text
from jobs.work.models import Job

WRITE = "jobs.manage_jobs"


class WordingList(RoomListView):
    permission = WRITE
    title = "The firm's words"
    intro = "for messages to customers; where there are none, ours are used"
    template_name = "jobs/messages/words.html"
    table_class = WordingTable
    filterset_class = WordingFilter
    search_fields = ("subject", "body")
    search_hint = "Words of the head or the text"
    empty = "None of your own yet: choose a kind above and change it."

    def get_rows(self) -> Any:
        return Wording.objects.select_related("written_by")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        kinds = [
            (
                Kind(kind).label,
                Channel(channel).label,
                reverse("messages:wording", args=[kind, channel]),
            )
            for kind, channel in rules.DEFAULTS
        ]
        return super().get_context_data(kinds=kinds, **kwargs)


class WordingEdit(ServiceFormView):
    """The words of one kind and channel: looked at with a job's data first, then kept."""

    permission = WRITE
    template_name = "jobs/messages/wording.html"
    form_class = WordingForm
    button = "Keep these words"
    success_message = "Kept: {made}."
    found_name: ClassVar[str] = "pair"
    preview: Words | None = None

    def find(self) -> tuple[str, str]:
        pair = (self.kwargs["kind"], self.kwargs["channel"])
        if pair[0] not in Kind.values or pair[1] not in Channel.values:
            raise Http404
        return pair

    def get_title(self) -> str:
        kind, channel = self.found
        return f"Words for '{Kind(kind).label}' as {Channel(channel).label}"

    def get_back_url(self) -> str:
        return reverse("messages:words")

    def get_success_url(self) -> str:
        return str(self.made.get_absolute_url())

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"channel": self.found[1]}

    def get_initial(self) -> dict[str, Any]:
        today = london_day(self.request.now)
        kind, channel = self.found
        words = queries.words_on(kind, channel, today)
        return {"valid_from": today, "subject": words.subject, "body": words.body}

    def form_valid(self, form: Any) -> HttpResponse:
        if "look" in self.request.POST:
            return self.render_to_response(self.get_context_data(form=form))
        return super().form_valid(form)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        kind, channel = self.found
        form = kwargs.get("form") or self.get_form()
        kwargs["form"] = form
        job = self.example()
        body = str(form["body"].value() or "")
        subject = str(form["subject"].value() or "") if "subject" in form.fields else ""
        shown = self.fill(job, subject, body) if job else None
        own = Wording.objects.filter(kind=kind, channel=channel).select_related("written_by")
        today = london_day(self.request.now)
        return super().get_context_data(
            placeholders=rules.PLACEHOLDERS[kind],
            job=job,
            shown=shown,
            length=length_of(shown.body) if shown and channel == Channel.TEXT else None,
            own=[(row, row.valid_from >= today) for row in own],
            **kwargs,
        )

    def example(self) -> Job | None:
        """Return the job whose data the words are shown with: asked for, else the newest."""
        asked = self.request.GET.get("job", "")
        rows = Job.objects.for_page()
        if asked.isascii() and asked.isdecimal() and len(asked) < 19:
            found: Job | None = rows.filter(pk=int(asked)).first()
            if found is not None:
                return found
        newest: Job | None = rows.order_by("-stage_since", "-pk").first()
        return newest

    def fill(self, job: Job, subject: str, body: str) -> Words:
        """Return the words as that job's customer would get them today."""
        kind, channel = self.found
        today = london_day(self.request.now)
        details = queries.default_details(job, kind, today)
        values = queries.values_of(job, kind, channel, details, today)
        text = rules.fill(body, values)
        return Words(
            rules.fill(subject, values), plain_text(text) if channel == Channel.TEXT else text
        )

    def act(self, form: Any) -> Wording:
        kind, channel = self.found
        values = form.cleaned_data
        return services.save_wording(
            kind=kind, channel=channel, valid_from=values["valid_from"],
            subject=values.get("subject", ""), body=values["body"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class WordingRemove(ServiceActionView):
    permission = WRITE
    success_message = "Taken back."

    def find(self) -> Wording:
        return get_object_or_404(Wording, pk=self.kwargs["pk"])

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self) -> None:
        services.remove_wording(wording_id=self.found.pk, by=self.request.user, at=self.request.now)
