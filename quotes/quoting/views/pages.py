"""Pages that show: the list, a revision, its workings. Without see_margin no cost is told."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.urls import reverse

from jobs.kernel import clock
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.panels import drawn_panels
from jobs.kernel.templatetags import firm
from jobs.kernel.views import RoomPage
from quotes.quoting import forms, queries
from quotes.quoting.enums import RevisionState
from quotes.quoting.filters import QuoteFilter
from quotes.quoting.models import Revision
from quotes.quoting.tables import LEVELS, QuoteTable
from quotes.quoting.views.common import MARGIN, SEE, SEND, WRITE, OfRevision, money_context
from quotes.takeoff.queries import take_off


class QuoteList(RoomListView):
    """The newest revision of every quote."""

    permission = SEE
    title = "Quotes"
    table_class = QuoteTable
    filterset_class = QuoteFilter
    search_fields = (
        "quote__reference", "quote__job__reference", "quote__job__title",
        "quote__job__customer__name", "quote__job__site__address",
    )  # fmt: skip
    search_hint = "reference, job, customer or address"
    actions = (Action("Over the year", "results:list", SEE, solid=False),)
    column_permissions = {"direct": MARGIN, "margin": MARGIN}
    empty = "No quotes yet. A quote is started from the survey of a job."

    def get_rows(self) -> QuerySet[Any]:
        rows: QuerySet[Any] = Revision.objects.for_list()
        return rows


def facts_of(revision: Revision) -> list[tuple[str, object, str]]:
    """Return what a revision is about, with the way to each."""
    job = revision.quote.job
    return [
        ("customer", job.customer.name, ""),
        ("job", job.reference, reverse("work:detail", args=[job.pk])),
        ("site", job.site.address, ""),
        ("take-off", "plan, mixes, workings", reverse("takeoff:detail", args=[revision.survey_id])),
        ("prices of", firm.day_year(revision.priced_on), ""),
        ("holds until", firm.day_year(revision.valid_until), ""),
        ("deposit", firm.percent(revision.deposit_percent), ""),
        ("sent", f"{firm.day_year(revision.sent_at)} to {revision.sent_to}", "")
        if revision.sent_at
        else ("sent", "not yet", ""),
    ]


class QuotePage(OfRevision, RoomPage):
    """One revision: lines, sums, words, what to do next."""

    permission = SEE
    template_name = "quotes/quoting/detail.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        revision, user = self.found, self.request.user
        day = clock.london_day(self.request.now)
        draft = revision.is_draft
        found = take_off(revision.survey) if draft else None
        rise = queries.price_rise(revision, day) if revision.state in {"draft", "sent"} else None
        newest = revision.quote.revisions.order_by("-number").first()
        return super().get_context_data(
            **money_context(revision, sees_margin=self.sees_margin),
            job=revision.quote.job,
            state_level=LEVELS.get(revision.state, ""),
            facts=facts_of(revision),
            panels=drawn_panels(self.request, "quote", revision),
            reprice_url=reverse("quoting:reprice", args=[revision.pk]),
            revise_url=reverse("quoting:revise", args=[revision.pk]),
            rise_words=f"Direct cost is {firm.money(rise)} higher today.",
            rise_remedy="Price it again." if draft else "Make a new revision and price it again.",
            others=revision.quote.revisions.order_by("number"),
            newest=newest if newest != revision else None,
            rise=rise,
            changed=draft and queries.has_changed(revision, found),
            told=queries.cautions_on_page(revision, found),
            over=bool(revision.valid_until and revision.valid_until < day),
            questions=queries.open_questions(revision.survey),
            terms_form=forms.TermsForm(
                initial=forms.terms_initial(revision), see_margin=self.sees_margin
            )
            if draft
            else None,
            may_write=draft and user.has_perm(WRITE),
            may_send=draft and user.has_perm(SEND),
            may_revise=revision.state in {"sent", "declined"} and user.has_perm(WRITE),
            may_record=revision.state == RevisionState.SENT
            and user.has_perm("jobs.record_acceptance"),
            **kwargs,
        )


class LineWorkings(OfRevision, RoomPage):
    """How each line's cost comes about."""

    permission = MARGIN
    template_name = "quotes/quoting/workings.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            title="How the cost comes about",
            lines=self.found.lines.select_related("work_item"),
            **kwargs,
        )
