"""What the office records of an answer that came on paper or by word of mouth."""

from __future__ import annotations

from typing import Any

from jobs.attachments.services import keep_file
from jobs.kernel.clock import london_day
from jobs.kernel.views import ServiceFormView
from quotes.acceptance.forms import DeclineForm
from quotes.variations import forms, queries, services
from quotes.variations.models import Variation
from quotes.variations.views.office import OfVariation


class RecordPaper(OfVariation, ServiceFormView):
    """Record a variation signed on paper, with the paper attached."""

    permission = "jobs.record_acceptance"
    form_class = forms.PaperForm
    title = "Record the signature"
    intro = "from the paper that the customer signed"
    button = "Record the signature"
    success_message = "Accepted: budget and material requirements of the job have moved."

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {
            "sheet": queries.sheet_of(self.found, self.request.now),
            "today": london_day(self.request.now),
        }  # fmt: skip

    def act(self, form: Any) -> Any:
        file = form.cleaned_data["file"]
        kept = keep_file(data=file.read(), name=file.name)
        return services.record_paper(
            **self.call, kept=kept, **form.answer, signed_on=form.cleaned_data["signed_on"]
        )

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())


class RecordDecline(OfVariation, ServiceFormView):
    """Record that the customer said no, and why."""

    permission = "jobs.record_acceptance"
    form_class = DeclineForm
    title = "Record that it was declined"
    intro = "said by telephone or on site; the link says so from then on"
    button = "Record it"
    success_message = "Declined: the job goes on as agreed before."

    def act(self, form: Any) -> Variation:
        return services.record_decline(**self.call, reason=form.cleaned_data["reason"])
