"""Pages that show: the list, a revision, its workings. Without see_margin no cost is told."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.urls import reverse

from jobs.kernel import clock
from jobs.kernel.errors import ServiceError
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.panels import drawn_panels
from jobs.kernel.templatetags import firm
from jobs.kernel.views import RoomPage
from quotes.pricebook.models import SmallJob
from quotes.quoting import forms, queries
from quotes.quoting.enums import RevisionState
from quotes.quoting.filters import QuoteFilter
from quotes.quoting.models import Revision
from quotes.quoting.services import reverse_overlooked
from quotes.quoting.tables import QuoteTable, is_closed, standing
from quotes.quoting.views.common import (
    MARGIN,
    SEE,
    SEND,
    WRITE,
    OfRevision,
    draft_forms,
    money_context,
)
from quotes.takeoff.forms import asked
from quotes.takeoff.queries import take_off
from quotes.takeoff.rules import TakeOff


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
    actions = (
        Action("Variations", "variations:list", SEE, solid=False),
        Action("Over the year", "results:list", SEE, solid=False),
    )
    column_permissions = {"direct": MARGIN, "margin": MARGIN}
    empty = "No quotes yet. A quote is started from the page of a job."

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
        ("take-off", "plan, mixes, workings", reverse("takeoff:detail", args=[revision.survey_id]))
        if revision.survey_id
        else ("take-off", "none: nothing is measured", ""),
        ("prices of", firm.day_year(revision.priced_on), ""),
        ("holds until", firm.day_year(revision.valid_until), ""),
        ("on site", f"{firm.quantity(revision.crew_size, 'person,people')}", ""),
        ("sent", f"{firm.day_year(revision.sent_at)} to {revision.sent_to}", "")
        if revision.sent_at
        else ("sent", "not yet", ""),
    ]


def running_short(request: Any, found: TakeOff) -> dict[str, str] | None:
    """Return the chance of running short, with what a spare and what a second visit cost.

    None without an answer or without rates.
    """
    form: Any = asked(forms.SpareCostForm, request)
    if not found.answer or not form.is_valid():
        return None
    try:
        sheet = queries.spare_sheet(
            found, clock.london_day(request.now), asked=form.asked_for, visit=form.second_visit
        )
    except ServiceError:
        return None
    chance = found.answer["risk"]["probability_short"]
    words = (
        f"A spare mix costs {firm.money(sheet.unopened)} if it comes back unopened and "
        f"{firm.money(sheet.mix)} of material if it is used; running short costs a second visit, "
        f"about {firm.money(sheet.short)}, and a joint that stays in sight."
    )
    if sheet.costs:
        least = sheet.costs.cheapest
        words += (
            f" Both together cost least with {firm.quantity(least.option.spares, 'spare')}: "
            f"{firm.money(least.total)}."
        )
    return {"chance": firm.percent(round(100 * chance, 1)), "words": f"{words} {sheet.gap}".strip()}


class QuotePage(OfRevision, RoomPage):
    """One revision: lines, sums, words, what to do next."""

    permission = SEE
    template_name = "quotes/quoting/detail.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        # long because: every part of the page is named once
        revision, user = self.found, self.request.user
        day = clock.london_day(self.request.now)
        draft = revision.is_draft
        found = take_off(revision.survey) if draft else None
        rise = queries.price_rise(revision, day) if revision.state in {"draft", "sent"} else None
        newest = revision.quote.revisions.order_by("-number").first()
        sample, warning = queries.sample_on_page(revision, found)
        return super().get_context_data(
            **money_context(revision, sees_margin=self.sees_margin),
            **(draft_forms(revision, sees_margin=self.sees_margin) if draft else {}),
            job=revision.quote.job,
            state_level=standing(revision)[0],
            state_word=standing(revision)[1],
            facts=[*facts_of(revision), ("sample shown", sample or "none noted", "")],
            sample=sample,
            sample_warning=warning,
            reverse=reverse_overlooked(revision) if draft else "",
            short=running_short(self.request, found) if found and self.sees_margin else None,
            asked_forms=forms.ASKED_FORMS.values(),
            small_jobs=SmallJob.objects.in_use() if draft and user.has_perm(WRITE) else (),
            small_url=reverse("quoting:add_small", args=[revision.pk]),
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
            may_write=draft and user.has_perm(WRITE),
            may_send=draft and user.has_perm(SEND),
            may_revise=revision.state in {"sent", "declined"} and user.has_perm(WRITE),
            may_record=revision.state == RevisionState.SENT
            and not is_closed(revision)
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
