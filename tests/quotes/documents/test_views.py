"""Opening a PDF: asked for, seen being drawn, opened by permission."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from quotes.documents import tasks
from quotes.documents.models import Rendering
from tests.quotes.world import make_quote_world

pytestmark = pytest.mark.django_db


def test_a_draft_is_drawn_on_request(office: Any, client_for: Callable[[Any], Client]) -> None:
    revision = make_quote_world().start()
    client = client_for(office)

    assert "still a draft" in client.get(f"/documents/quote/{revision.pk}/").content.decode()
    asked = client.post(f"/documents/quote/{revision.pk}/draw/")
    row = Rendering.objects.get()
    assert asked["Location"] == f"/documents/{row.uid}/"
    waiting = client.get(f"/documents/{row.uid}/", headers={"HX-Request": "true"})
    assert waiting.content.decode().lstrip().startswith('<div id="state" hx-get')
    assert client.get(f"/documents/{row.uid}/pdf/").status_code == 404

    tasks.render(row.pk)

    done = client.get(f"/documents/{row.uid}/").content.decode()
    assert "hx-get" not in done.split('id="state"')[1].split(">")[0]
    opened = client.get(f"/documents/{row.uid}/pdf/")
    assert opened.content.startswith(b"%PDF-")
    assert opened["Content-Type"] == "application/pdf"


def test_a_sent_quote_opens_at_once(office: Any, client_for: Callable[[Any], Client]) -> None:
    revision = make_quote_world().send()
    tasks.draw_sent(revision.pk)

    response = client_for(office).get(f"/documents/quote/{revision.pk}/")

    assert response.content.startswith(b"%PDF-")
    assert "no-store" in response["Cache-Control"]
