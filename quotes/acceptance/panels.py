"""What became of a sent quote, on its page."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.panels import panel
from jobs.kernel.templatetags import firm
from jobs.work.enums import Stage
from jobs.work.rules import CLOSED
from quotes.acceptance.models import Acceptance
from quotes.acceptance.queries import acceptance_of
from quotes.acceptance.rules import last_day_to_cancel
from quotes.quoting.models import Revision


def answered(revision: Revision, acceptance: Acceptance) -> dict[str, Any]:
    """Return who accepted, when and how, for how much, and what was said."""
    when = f"{firm.day_year(acceptance.at)}, {firm.wall(acceptance.at)}"
    facts = [("accepted by", acceptance.name)]
    if acceptance.signed_on:
        facts += [("signed", firm.day_year(acceptance.signed_on)), ("recorded", when)]
    else:
        facts.append(("when", when))
    facts += [
        ("how", acceptance.get_answered_by_display()),
        ("for", f"{firm.money(acceptance.pounds)} with VAT"),
    ]
    if revision.quote.job.customer.is_consumer:
        last = last_day_to_cancel(acceptance.signed_day)
        early = acceptance.consents.get("begin_early", {}).get("given")
        asked = "; asked us to begin before" if early else ""
        facts.append(("may cancel until", f"{firm.day_year(last)}{asked}"))
    said = [words["words"] for words in acceptance.consents.values() if words.get("given")]
    return {"facts": facts, "said": said}


@panel(page="quote", order=10, permission="jobs.see_billing")
def answer_to_quote(request: HttpRequest, revision: Revision) -> tuple[str, dict[str, Any]]:
    """Return the link's state, or who accepted, when and how."""
    template = "quotes/acceptance/panel.html"
    acceptance = acceptance_of(revision)
    if acceptance is not None:
        return template, answered(revision, acceptance)
    links = list(revision.links.order_by("created_at", "pk"))
    link = links[-1] if links else None
    if link is None:
        facts = [("link", "goes out as soon as the PDF is drawn")]
    elif link.withdrawn_at:
        facts = [("link", f"withdrawn {firm.day_year(link.withdrawn_at)}")]
    else:
        # A reminder brings a link of its own; whichever was opened first counts.
        first = min((each.first_opened_at for each in links if each.first_opened_at), default=None)
        facts = [
            ("link mailed", firm.day_year(links[0].created_at)),
            ("opened", firm.day_year(first) if first else "not yet"),
        ]
    stage = Stage(revision.quote.job.stage)
    if stage in CLOSED:
        facts.append(
            ("closed", f"the job is {stage.label}; opened again, the quote can be answered")
        )
    may = request.user.has_perm("jobs.send_quote") and revision.pdf_uid is not None
    may = may and stage not in CLOSED
    return template, {
        "facts": facts,
        "again_url": reverse("acceptance:again", args=[revision.pk]) if may else "",
        "withdraw_url": reverse("acceptance:withdraw", args=[revision.pk])
        if may and link and not link.withdrawn_at
        else "",
    }
