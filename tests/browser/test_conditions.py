"""Conditions and labels in a browser: nothing grave for axe, nothing wider than the phone."""

from __future__ import annotations

import math
import os
from datetime import timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from jobs.kernel.clock import now
from stock.conditions.models import Excursion
from stock.conditions.services import hold_with_photos, look_at_file, sweep_excursions
from tests.browser.checks import serious_findings
from tests.factories import make_kit, make_lot, make_place, make_stone, make_user
from tests.jobs.attachments.files import photo
from tests.stock.conditions.world import make_resin, make_sensor, read

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def hot_yard() -> dict[str, str]:
    """A container that was too hot, and the addresses of every page of the two rooms."""
    bay, van = make_place(name="Container 1, left"), make_place("van", name="Van 2")
    until = now().date() + timedelta(days=60)
    lot = make_lot(make_resin(name="Resin kit, summer grade, 7.5 kg"), 20, place=bay, expiry=until)
    stone, kit = make_lot(make_stone(), 40, place=bay), make_lot(make_kit(), 3, place=van)
    rows = [
        (n / 2, 21 + 8 * math.sin(n / 48 * 2 * math.pi)) for n in range(330) if not 100 < n < 130
    ]
    read(bay, [*rows, (20.1, 61)], start=now() - timedelta(days=7))
    sweep_excursions(at=now())
    sensor, _ = make_sensor(bay)
    day = now() - timedelta(days=1)
    log = f"time,celsius\n{day:%Y-%m-%d} 09:00,21\n{day:%Y-%m-%d} 10:00,hot\n"
    file = look_at_file(
        place_id=van.pk, name="logger 3.csv", data=log.encode(), unit="", key=uuid4(), by=None,
        at=now(),
    )  # fmt: skip
    part = hold_with_photos(
        lot_id=stone.pk, cause="damp_bag", words="bottom row", place=bay, quantity=60_000,
        files=[("bag.jpg", photo())], key=uuid4(), by=None, at=now(),
    )  # fmt: skip
    excursion = Excursion.objects.filter(lots__lot=lot).latest("pk")
    names: dict[str, tuple[Any, ...]] = {
        "conditions:list": (), "conditions:place": (bay.pk,), "conditions:add": (bay.pk,),
        "conditions:gap": (bay.pk,), "conditions:import": (bay.pk,), "conditions:file": (file.pk,),
        "conditions:readings": (), "conditions:excursions": (),
        "conditions:excursion": (excursion.pk,),
        "conditions:answer": (excursion.pk,), "conditions:sensors": (), "conditions:add_sensor": (),
        "conditions:renew": (sensor.pk,), "conditions:vans": (), "conditions:hold": (kit.pk,),
        "conditions:photos": (kit.pk,), "ledger:detail": (part.pk,), "labels:list": (),
        "labels:places": (), "ledger:list": (), "today:today": (),
    }  # fmt: skip
    return {name: reverse(name, args=args) for name, args in names.items()} | {
        "kinetic": f"{reverse('conditions:place', args=[bay.pk])}?days=30&energy=83.144",
        "wrong": f"{reverse('labels:lots_pdf')}?codes=L-0&layout=a4-24",
    }


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1180, 360])
def test_pages_hold_on_screen_and_phone(
    browser: Any, live_server: Any, width: int, scheme: str
) -> None:
    pages = hot_yard()
    client = Client()
    client.force_login(
        make_user("storeman"), backend="allauth.account.auth_backends.AuthenticationBackend"
    )
    context = browser.new_context(viewport={"width": width, "height": 900}, color_scheme=scheme)
    session = client.cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": session, "url": live_server.url}])
    page = context.new_page()
    told: list[str] = []
    page.on("console", lambda message: told.append(message.text))
    found = {}
    for name, address in pages.items():
        answer = page.goto(live_server.url + address)
        wide = page.evaluate("document.documentElement.scrollWidth")
        status = [] if answer.status in {200, 422} else [f"status {answer.status}"]
        found[name] = [
            *status, *serious_findings(page), *([f"{wide} wide"] if wide > width else []),
        ]  # fmt: skip
        if shots := os.environ.get("SHOTS"):
            file = f"{name.replace(':', '-')}-{width}-{scheme}.png"
            page.screenshot(path=Path(shots) / file, full_page=True)
    context.close()

    assert {name: said for name, said in found.items() if said} == {}
    # The field that a scanner types into asks for the focus, which a page may hold already.
    assert [word for word in told if "422" not in word and "Autofocus" not in word] == []
