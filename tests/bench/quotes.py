"""What a quote takes in the server: working its sums out again, and drawing its PDF."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from decimal import Decimal
from functools import cache
from itertools import count
from typing import Any

from tests.bench.clock import median_ms
from tests.bench.database import own_database

LINES = 40


@cache
def quote() -> Any:
    """Return a draft of 40 lines of every common kind, surfacing and edging from a survey."""
    own_database()
    from quotes.quoting.models import Line, Revision
    from tests.quotes.world import make_quote_world

    revision = make_quote_world().start()
    have = revision.lines.count()
    kinds = ("work", "free", "provisional", "option")
    Line.objects.bulk_create(
        Line(
            revision=revision, position=have + n, kind=kinds[n % 4], words=f"Work {n}",
            quantity=Decimal(n + 1), unit="each", other=Decimal(17 * n + 40),
            direct=Decimal(17 * n + 40), fixed=Decimal(90 + n) if n % 4 > 1 else None,
        )
        for n in range(LINES - have)
    )  # fmt: skip
    return Revision.objects.with_job().select_related("survey").get(pk=revision.pk)


def recompute() -> float:
    """The whole answer to a changed margin or discount: request, sums, page part."""
    revision = quote()
    from django.test import Client

    from tests.factories import make_user

    client = Client()
    client.force_login(make_user("owner"))
    turns = count(revision.version)

    def again() -> None:
        version = next(turns)
        data = {
            "version": version, "overhead_percent": "12", "margin_percent": f"{20 + version % 9}",
            "discount_percent": f"{1 + version % 5}", "deposit_percent": "25",
            "valid_until": "2026-06-13", "vat_code": "standard", "vat_percent": "20",
            "crew_size": "2",
        }  # fmt: skip
        answer = client.post(f"/quotes/{revision.pk}/terms/", data, headers={"HX-Request": "true"})
        if answer.status_code != 200:
            raise AssertionError(f"The sums were not worked out: {answer.status_code}.")

    return median_ms(again, 60)


def seconds(work: Callable[[], object]) -> float:
    """Return the processor's time, since other work on the machine weighs on both ways alike."""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def pdf_ratio() -> float:
    """Bare WeasyPrint's time over ours for the same HTML, style, fonts and kind of PDF."""
    revision = quote()
    from weasyprint import CSS, HTML
    from weasyprint.text.fonts import FontConfiguration

    from quotes.documents.documents import draw, html_of, stylesheet
    from quotes.quoting.queries import sheet_of

    sheet = sheet_of(revision)
    html, style = html_of(sheet), stylesheet()

    def bare() -> None:
        fonts = FontConfiguration()
        HTML(string=html).write_pdf(
            stylesheets=[CSS(string=style, font_config=fonts)], font_config=fonts,
            pdf_variant="pdf/ua-1", pdf_tags=True,
        )  # fmt: skip

    def ours() -> None:
        draw(sheet)

    bare()
    ours()
    pairs = [(seconds(bare), seconds(ours)) for _ in range(7)]
    return statistics.median(one for one, _ in pairs) / statistics.median(two for _, two in pairs)
