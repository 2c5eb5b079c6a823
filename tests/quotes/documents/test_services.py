"""A PDF is claimed by one worker, drawn once, kept with its hash; the sweep finds what is lost."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from jobs.attachments.queries import path_of, read_bytes
from jobs.kernel.clock import now
from jobs.kernel.models import TaskRun
from quotes.documents import panels, queries, services, tasks
from quotes.documents.models import PagePicture, Rendering
from quotes.documents.queries import pdf_of
from quotes.quoting.models import Revision
from quotes.quoting.services import change_words
from tests.factories import AT
from tests.quotes.world import make_quote_world

pytestmark = pytest.mark.django_db


def test_the_same_state_is_drawn_once(owner: Any, at: datetime) -> None:
    revision = make_quote_world().start()

    first = services.ask_rendering(revision_id=revision.pk, at=at)
    same = services.ask_rendering(revision_id=revision.pk, at=at)
    change_words(revision_id=revision.pk, values={"message": "Hello"}, by=owner, at=at)
    other = services.ask_rendering(revision_id=revision.pk, at=at)

    assert first == same
    assert first != other


def test_one_worker_claims(at: datetime) -> None:
    row = services.ask_rendering(revision_id=make_quote_world().start().pk, at=at)

    assert services.claim_rendering(rendering_id=row.pk, at=at) is not None
    assert services.claim_rendering(rendering_id=row.pk, at=at) is None
    # a worker that stopped leaves its claim; after five minutes another takes it
    later = at + timedelta(minutes=6)
    assert services.claim_rendering(rendering_id=row.pk, at=later) is not None


def test_pages_that_failed_are_tried_again_by_themselves_and_not_for_ever(
    office: Any, client_for: Callable[[Any], Client]
) -> None:
    """The kept file is spoilt, so that the reader of PDFs itself refuses it, then mended."""
    revision = make_quote_world().send()
    row = services.ask_rendering(revision_id=revision.pk, at=now())
    tasks.render_one(row.pk)
    pdf = queries.pdf_drawn(Rendering.objects.get())
    assert pdf is not None
    good, path = read_bytes(pdf), path_of(pdf.digest)
    PagePicture.objects.all().delete()
    Rendering.objects.update(pictures_tries=0, pictures_tried_at=None, finished_at=AT)
    page, client = f"/documents/{row.uid}/", client_for(office)

    path.write_bytes(b"%PDF-1.7 spoilt")
    for tries in (1, 2, 3, 3):
        tasks.sweep()
        tasks.sweep()  # within the next minutes it is let be
        row.refresh_from_db()
        assert row.pictures_tries == tries
        Rendering.objects.update(pictures_tried_at=now() - timedelta(minutes=6))
    assert row.pictures_error.startswith("PdfiumError: ")
    text = client.get(page).content.decode()
    assert "could not be drawn as pictures" in text
    assert "not tried again by itself" in text
    assert (
        "could not be drawn as pictures" in client.get(f"/quotes/{revision.pk}/").content.decode()
    )
    outcomes = list(TaskRun.objects.order_by("pk").values_list("outcome", flat=True))
    assert outcomes[0] == "0 drawn, pages of 0 of 1"

    path.write_bytes(good)
    tasks.sweep()
    assert not row.pictures.exists()  # tried enough: from here on a person asks
    client.post(f"/documents/quote/{revision.pk}/draw/")
    tasks.sweep()
    row.refresh_from_db()
    assert (row.pictures.count(), row.pictures_error) == (row.pages, "")


def test_a_lost_bell_for_the_pages_is_found() -> None:
    revision = make_quote_world().send()
    tasks.draw_sent(revision.pk)
    PagePicture.objects.all().delete()
    Rendering.objects.update(pictures_tries=0, pictures_tried_at=None)

    tasks.sweep()

    assert PagePicture.objects.count() == Rendering.objects.get().pages
    assert services.claim_pictures(rendering_id=Rendering.objects.get().pk, at=now()) is None


def test_the_pdf_of_a_sent_revision_is_kept_with_its_hash() -> None:
    revision = make_quote_world().send()

    tasks.draw_sent(revision.pk)
    tasks.draw_sent(revision.pk)

    fresh = Revision.objects.get(pk=revision.pk)
    attachment = pdf_of(fresh)
    assert attachment is not None
    data = read_bytes(attachment)
    assert data.startswith(b"%PDF-")
    assert fresh.pdf_digest == hashlib.sha256(data).hexdigest()
    assert Rendering.objects.get().state == "ready"
    assert attachment.name == "Q-2026-0001 revision 1.pdf"


def test_a_drafts_pdf_does_not_become_the_revisions_own(at: datetime) -> None:
    revision = make_quote_world().start()
    row = services.ask_rendering(revision_id=revision.pk, at=at)

    assert tasks.render_one(row.pk)

    assert Revision.objects.get(pk=revision.pk).pdf_uid is None
    assert Rendering.objects.get().attachment_uid is not None


def test_the_sweep_finds_what_a_lost_bell_left() -> None:
    revision = make_quote_world().send()

    tasks.sweep()

    assert Revision.objects.get(pk=revision.pk).pdf_uid is not None
    assert TaskRun.objects.get(name="quotes.documents.sweep").outcome == "1 drawn"


def test_a_drawing_that_fails_is_shown_and_can_be_asked_again(at: datetime, settings: Any) -> None:
    revision = make_quote_world().start()
    row = services.ask_rendering(revision_id=revision.pk, at=at)
    settings.ATTACHMENT_MAX_BYTES = 10  # no PDF is that small

    assert not tasks.render_one(row.pk)
    failed = Rendering.objects.get()
    assert failed.state == "failed"
    assert "MB is the most" in failed.error

    again = services.ask_rendering(revision_id=revision.pk, at=at)
    assert (again.state, again.error) == ("due", "")


def test_today_says_which_quote_never_left_until_it_is_drawn(owner: Any, at: datetime) -> None:
    revision = make_quote_world().send()
    row = services.ask_rendering(revision_id=revision.pk, at=at)
    assert services.claim_rendering(rendering_id=row.pk, at=at) is not None
    services.fail_rendering(rendering_id=row.pk, error="OSError: no space left", at=at)

    (entry,) = panels.not_drawn(owner, at)
    assert ("has not gone to the customer" in entry.title, entry.level) == (True, "stop")
    assert entry.url == f"/documents/{row.uid}/"

    tasks.draw_sent(revision.pk)
    assert list(panels.not_drawn(owner, at)) == []
