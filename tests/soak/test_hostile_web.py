"""A thousand hostile requests over every address and form find no 500; and a 500 would be found."""

from __future__ import annotations

import random
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse
from django.urls import path

import config.urls
from tests.soak.nonsense import SCRIPT
from tests.soak.pages import forms_of
from tests.soak.prober import Probe, hunt, judge, overhearing
from tests.soak.report import Report
from tests.soak.webworld import make_world

ROOT = Path(__file__).resolve().parents[2]
SEED = 20260514


@pytest.mark.django_db(transaction=True)
def test_a_thousand_hostile_requests_meet_no_500() -> None:
    world = make_world()

    report = hunt(world, random.Random(SEED), lambda sent: sent < 1000)

    assert report.failures == [], "\n\n".join(report.failures[:10])
    # The run is worth something: it reached every address, and many forms were taken.
    counts = report.counts
    assert counts["sent as GET"] + counts["sent as POST"] + counts["sent otherwise"] == 1000
    assert min(counts["sent as GET"], counts["sent as POST"]) > 250
    assert {name for name, _ in world.sent} == set(world.names)
    assert counts["answers 200"] > 200
    assert counts["answers 302"] > 50
    assert counts["answers 422"] > 20


# -- a failure would be found ----------------------------------------------------------------


def fragile(request: HttpRequest) -> HttpResponse:
    """Break on a NUL byte, as a query on PostgreSQL does, and show what was asked for as it is."""
    asked = request.GET.get("q", "")
    if "\x00" in asked:
        raise ValueError("A string literal cannot contain NUL (0x00) characters.")
    return HttpResponse(f"<p>{asked}</p>")


urlpatterns = [*config.urls.urlpatterns, path("fragile/", fragile, name="fragile")]
handler500 = config.urls.handler500


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("query", "said"),
    [
        ("?q=a%00", "ValueError: A string literal cannot contain NUL"),
        (f"?q={SCRIPT}", "shows a script back unescaped"),
        ("?q=kerb", ""),
    ],
)
def test_a_view_that_breaks_or_shows_a_script_is_a_failure(
    settings: Any, query: str, said: str
) -> None:
    settings.ROOT_URLCONF = __name__
    world, report = make_world(), Report()

    with overhearing() as heard:
        judge(world, Probe("fragile", "owner", "GET", f"/fragile/{query}"), report, heard)

    assert bool(report.failures) == bool(said)
    assert said in "".join(report.failures)
    assert all(f"/fragile/{query}" in failure for failure in report.failures)


def test_forms_are_read_with_what_stands_in_them() -> None:
    page = """
      <form method="get"><input name="q" value="4"></form>
      <form method="post" action="/jobs/1/lost/">
        <input type="hidden" name="csrfmiddlewaretoken" value="x"><input name="title" value="Drive">
        <select name="reason"><option value="">-</option><option value="price">Price</option>
        </select>
        <textarea name="note">two
lines</textarea><button>Lose</button>
      </form>"""

    search, lose = forms_of(page)

    assert (search.method, search.fields) == ("get", {"q": ["4"]})
    assert (lose.method, lose.action) == ("post", "/jobs/1/lost/")
    assert lose.fields == {"title": ["Drive"], "reason": ["price"], "note": ["two\nlines"]}


def test_the_long_run_has_a_database_of_its_own_and_writes_its_report(tmp_path: Path) -> None:
    options = ["--minutes", "0.03", "--seed", "7", "--folder", str(tmp_path)]
    done = subprocess.run(
        [sys.executable, "scripts/soak.py", "web", *options],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )

    assert done.returncode == 0, done.stdout + done.stderr
    (file,) = tmp_path.glob("20*.md")
    assert "## web" in file.read_text()
    assert " sent as GET" in file.read_text()
    assert "\n0 failures." in file.read_text()
