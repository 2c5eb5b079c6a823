"""Every page of the role tables in a browser, on a phone: nothing grave for axe, nothing too wide.

The pages are Django's own answers, handed to the browser without a server in between; styles and
scripts come from where the server would take them. A page that a room adds to its roles.py is
looked at without another word.
"""

from __future__ import annotations

import mimetypes
import os
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse

from tests.architecture.test_roles import all_rows
from tests.browser.checks import serious_findings
from tests.factories import make_user
from tests.role_rows import ROLES, Row

pytestmark = [pytest.mark.browser, pytest.mark.django_db]
HOST = "http://testserver"
WIDTH = 360


def pages() -> Iterator[tuple[str, Row, str]]:
    """Yield each address that answers somebody with a page, once, and who sees the most of it."""
    seen: set[str] = set()
    for row in all_rows():
        roles = [role for role in ROLES if row.statuses.get(role) == 200]
        if row.method == "GET" and roles and row.name not in seen:
            seen.add(row.name)
            yield row.name, row, roles[0]


def answer(route: Any, url: str, content: bytes) -> None:
    """Give the browser the page at `url`, and static files; whatever else it asks for is not there.

    The browser's callbacks run outside the test's transaction, so nothing here asks the database.
    """
    path = urlsplit(route.request.url).path
    if route.request.url == HOST + url:
        route.fulfill(body=content, content_type="text/html; charset=utf-8")
    elif path.startswith("/static/") and (file := finders.find(path.removeprefix("/static/"))):
        kind = mimetypes.guess_type(path)[0] or "application/octet-stream"
        route.fulfill(body=Path(str(file)).read_bytes(), content_type=kind)
    else:
        route.fulfill(status=404)


@pytest.mark.parametrize(("row", "role"), [(r, who) for _, r, who in pages()],
                         ids=[name for name, _, _ in pages()])  # fmt: skip
def test_page_holds_on_a_phone(
    row: Row, role: str, browser: Any, client_for: Callable[[Any], Client]
) -> None:
    world = row.make()
    url = reverse(row.name, kwargs=world.kwargs) + world.query
    client = Client()
    if role != "nobody":
        client = client_for(make_user() if role == "stranger" else make_user(role))
    first = client.get(url)
    assert first.status_code == 200
    if not first["Content-Type"].startswith("text/html"):
        return  # a file: no page to look at
    page = browser.new_page(viewport={"width": WIDTH, "height": 780})
    try:
        page.route("**/*", lambda route: answer(route, url, first.content))
        page.goto(HOST + url)
        wide = page.evaluate("document.documentElement.scrollWidth")
        if shots := os.environ.get("SHOTS"):
            name = f"{row.name.replace(':', '-')}.png"
            page.screenshot(path=Path(shots) / name, full_page=True)
        assert [*serious_findings(page), *([f"{wide} wide"] if wide > WIDTH else [])] == []
    finally:
        page.close()
