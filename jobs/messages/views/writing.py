"""Writing to a customer: the kind and its figures, the words filled in, one press."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property

from jobs.kernel.clock import london_day
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.views import ServiceFormView
from jobs.messages import queries, services
from jobs.messages.enums import Kind
from jobs.messages.filters import CustomerMessageFilter
from jobs.messages.forms import AskForm, WriteForm
from jobs.messages.models import CustomerMessage
from jobs.messages.rules import Details, Words
from jobs.messages.tables import CustomerMessageTable
from jobs.outbox.enums import Channel
from jobs.outbox.rules import length_of, plain_text
from jobs.work.models import Job

SEE = "jobs.see_messages"
WRITE = "jobs.manage_jobs"


class CustomerMessageList(RoomListView):
    permission = SEE
    title = "Messages to customers"
    table_class = CustomerMessageTable
    filterset_class = CustomerMessageFilter
    search_fields = (
        "job__reference",
        "job__title",
        "job__customer__name",
        "message__to",
        "message__subject",
        "message__body",
    )
    search_hint = "Job, customer, address, or words of the message"
    actions = (Action("The firm's words", "messages:words", WRITE, solid=False),)
    empty = "Nothing was written yet. A job's page leads to it."

    def get_rows(self) -> Any:
        return CustomerMessage.objects.for_list()


class Write(ServiceFormView):
    """The words of one message to a job's customer."""

    permission = WRITE
    template_name = "jobs/messages/write.html"
    form_class = WriteForm
    found_name = "job"
    button = "Send it"
    success_message = "Written: it goes now. Its state is among the messages below."

    def find(self) -> Job:
        found: Job = get_object_or_404(Job.objects.for_page(), pk=self.kwargs["pk"])
        return found

    def get_title(self) -> str:
        return f"Write to {self.found.customer}"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return f"{self.found.get_absolute_url()}#messages"

    @cached_property
    def kind(self) -> str:
        """The kind that is asked for; free words where there is none of that name."""
        asked = asked_of(self.request).get("kind", Kind.FREE)
        return asked if asked in Kind.values else Kind.FREE

    @cached_property
    def channel(self) -> str:
        """How it is to go: as a text only where the customer gets texts."""
        asked = asked_of(self.request).get("channel", "")
        texts = asked == Channel.TEXT and not queries.why_no_texts(self.found.customer)
        return Channel.TEXT if texts else Channel.MAIL

    @cached_property
    def on(self) -> date:
        return london_day(self.request.now)

    @cached_property
    def floor(self) -> Any:
        """The shortest times that may be said, for the kinds that say any."""
        return queries.surface_floor(self.found)

    @cached_property
    def ask(self) -> AskForm:
        """The form above, read: what was asked for, and defaults where nothing was."""
        typed = asked_of(self.request)
        given = {name: typed[name] for name in AskForm.base_fields if name in typed}
        booking = whole_number(typed.get("booking", ""))
        data = self.defaults(booking).as_json() | given | {"booking": booking or ""}
        form = AskForm(
            data | {"kind": self.kind, "channel": self.channel},
            kind=self.kind,
            texts=not queries.why_no_texts(self.found.customer),
            hours_help=self.floor.words if self.kind == Kind.KEEP_OFF else "",
        )
        form.is_valid()
        return form

    def defaults(self, booking: int | None) -> Details:
        """Return what is filled in before anybody types."""
        return queries.default_details(self.found, self.kind, self.on, booking)

    def get_form_kwargs(self) -> dict[str, Any]:
        customer = self.found.customer
        to = queries.recipients(customer, self.channel)
        words = self.words()
        initial = {
            **self.ask.data,
            "to": to[0][0] if to else "",
            "subject": words.subject,
            "body": words.body,
        }
        need = self.kind not in Kind.NEEDED and customer.only_needed
        return super().get_form_kwargs() | {
            "ask": self.ask, "to": to, "asks_need": need, "initial": initial,
        }  # fmt: skip

    def words(self) -> Words:
        """Return the words filled in with what is known."""
        found = queries.filled(self.found, self.kind, self.channel, self.ask.details(), self.on)
        if self.channel == Channel.TEXT:
            return Words(found.subject, plain_text(found.body))
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = kwargs.get("form") or self.get_form()
        kwargs["form"] = form
        customer = self.found.customer
        recipients = queries.recipients(customer, self.channel)
        length = length_of(plain_text(str(form["body"].value() or "")))
        return super().get_context_data(
            ask=self.ask,
            channel=self.channel,
            words_url=f"{reverse('messages:wording', args=[self.kind, self.channel])}"
            f"?job={self.found.pk}",
            no_address=not recipients,
            why_no_texts=queries.why_no_texts(customer),
            only_needed=customer.only_needed,
            length=length if self.channel == Channel.TEXT else None,
            **kwargs,
        )

    def form_invalid(self, form: Any) -> HttpResponse:
        """Say what is wrong with a figure at the figure, which stands in the form above."""
        moved = [name for name in self.ask.fields if name in form.errors]
        for name in moved:
            for sentence in form.errors.pop(name):
                self.ask.add_error(name, sentence)
        if moved:
            form.add_error(None, "Look above at what it is about, then fill in the words again.")
        return super().form_invalid(form)

    def act(self, form: Any) -> CustomerMessage:
        values = form.cleaned_data
        return services.write_to_customer(
            job_id=self.found.pk, kind=self.kind, channel=self.channel, to=values["to"],
            subject=values.get("subject", ""), body=values["body"], details=self.ask.details(),
            needed=values.get("needed", False), key=values["uid"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip


def asked_of(request: HttpRequest) -> Any:
    """Return what was sent with the page, in the address or in the form."""
    return request.POST if request.method == "POST" else request.GET


def whole_number(text: str) -> int | None:
    """Return a key that was sent, None for anything else."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 19 else None
