"""Opening a PDF: asked for, seen being drawn, opened by permission."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.test import Client
from PIL import Image

from quotes.documents import tasks
from quotes.documents.models import PagePicture, Rendering
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


def test_the_pages_are_shown_as_pictures(office: Any, client_for: Callable[[Any], Client]) -> None:
    revision = make_quote_world().send()
    tasks.draw_sent(revision.pk)
    client = client_for(office)

    page = client.get(f"/documents/quote/{revision.pk}/pages/", follow=True)

    row = Rendering.objects.get()
    pictures = list(row.pictures.all())
    assert [picture.number for picture in pictures] == list(range(1, row.pages + 1))
    text = page.content.decode()
    for picture in pictures:
        assert f"Page {picture.number} of {row.pages} of Q-2026-0001 revision 1" in text
        response = client.get(f"/documents/{row.uid}/page/{picture.number}/")
        assert response["Content-Type"] == "image/png"
        with Image.open(io.BytesIO(response.content)) as drawn:
            assert drawn.size == (picture.width, picture.height)
            # A4 upright, and something is drawn on it.
            assert round(picture.height / picture.width, 2) == 1.41
            assert len(drawn.convert("L").getcolors(256) or []) > 5
    assert client.get(f"/documents/{row.uid}/page/99/").status_code == 404
    quote = client.get(f"/quotes/{revision.pk}/").content.decode()
    assert "look at them" in quote


def test_pages_that_were_not_drawn_can_be_asked_for(
    office: Any, client_for: Callable[[Any], Client], at: datetime
) -> None:
    revision = make_quote_world().send()
    tasks.draw_sent(revision.pk)
    row = Rendering.objects.get()
    PagePicture.objects.all().delete()
    Rendering.objects.update(finished_at=at)
    client = client_for(office)
    assert "Draw the pages" in client.get(f"/documents/{row.uid}/").content.decode()

    client.post(f"/documents/quote/{revision.pk}/draw/")
    tasks.pictures(row.pk)
    tasks.pictures(row.pk)

    assert row.pictures.count() == row.pages
    assert "Draw the pages" not in client.get(f"/documents/{row.uid}/").content.decode()
