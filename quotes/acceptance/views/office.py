"""The office's pages of a sent quote: an acceptance on paper, a new link, a link taken back."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404

from jobs.attachments.services import keep_file
from jobs.kernel.clock import london_day
from jobs.kernel.views import ServiceActionView, ServiceFormView
from quotes.acceptance import services
from quotes.acceptance.forms import PaperForm
from quotes.quoting.models import Revision
from quotes.quoting.queries import sheet_of


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
        return super().get_form_kwargs() | {
            "sheet": sheet_of(self.found), "today": london_day(self.request.now),
        }  # fmt: skip

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Any:
        file = form.cleaned_data["file"]
        kept = keep_file(data=file.read(), name=file.name)
        return services.record_paper(
            revision_id=self.found.pk, kept=kept, **form.answer,
            signed_on=form.cleaned_data["signed_on"],
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
