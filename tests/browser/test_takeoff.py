"""The take-off's pages in a browser: nothing grave for axe, nothing wider than the phone."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from django.test import Client

from jobs.calendar.models import Resource
from tests.browser.checks import serious_findings
from tests.factories import make_user
from tests.quotes.takeoff.forecast import SPRING, query
from tests.quotes.world import make_quote_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

RAIN = {
    "rain-ask": "1", "rain-infiltration": "9", "rain-safety": "1.5", "rain-voids": "30",
    "rain-ratio": "1", "storm-TOTAL_FORMS": "3", "storm-INITIAL_FORMS": "0",
    "storm-0-minutes": "15", "storm-0-depth": "18", "storm-1-minutes": "60", "storm-1-depth": "30",
}  # fmt: skip
WRONG = (*SPRING[:2], ("x", "", "", "", "3"))
TOOLS = {
    "ask": "1", "tools-TOTAL_FORMS": "3", "tools-INITIAL_FORMS": "0", "tools-0-tool": "breaker",
    "tools-0-minutes": "30", "tools-1-tool": "disc cutter", "tools-1-minutes": "40",
}  # fmt: skip


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1180, 360])
def test_pages_hold_on_screen_and_phone(
    browser: Any, live_server: Any, width: int, scheme: str
) -> None:
    world = make_quote_world(fall="1:80", front_garden="yes")
    Resource.objects.create(kind="vehicle", name="tipper", payload_kg=620)
    client = Client()
    client.force_login(make_user("owner"))
    survey = f"/take-off/{world.survey.pk}"
    pages = {
        "takeoff": f"{survey}/", "workings": f"{survey}/workings/",
        "planning": f"{survey}/planning/", "water": f"{survey}/water/?{urlencode(RAIN)}",
        "day": f"{survey}/day/?{query(SPRING)}", "wrong": f"{survey}/day/?{query(WRONG)}",
        "tools": f"/take-off/tools/?{urlencode(TOOLS)}",
    }  # fmt: skip
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)
    session = client.cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": live_server.url}])
    page = context.new_page()
    told: list[str] = []
    page.on("console", lambda message: told.append(message.text))
    found = {}
    for name, address in pages.items():
        page.goto(live_server.url + address)
        page.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
        wide = page.evaluate("document.documentElement.scrollWidth")
        found[name] = [*serious_findings(page), *([f"{wide} wide"] if wide > width else [])]
        if shots := os.environ.get("SHOTS"):
            page.screenshot(path=Path(shots) / f"{name}-{width}-{scheme}.png", full_page=True)
    context.close()

    assert {name: said for name, said in found.items() if said} == {}
    assert [word for word in told if "422" not in word] == []
