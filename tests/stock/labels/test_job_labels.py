"""A job's lots are labelled: they stay with it, the pick list says so, giving back ends it."""

from __future__ import annotations

import io
from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse
from pypdf import PdfReader

from jobs.audit.models import Event
from stock.allocation.models import Reservation
from stock.allocation.services import release_job, reserve_job
from stock.labels.services import label_job
from tests.factories import AT, make_job, make_kit, make_lot, make_requirement, make_stone

pytestmark = pytest.mark.django_db
FORM = {"layout": "100x62", "start": "1"}


def reserved() -> Any:
    job, kit, stone = make_job(stage="won"), make_kit(), make_stone()
    make_requirement(job, kit, 2, colour_group="")
    make_requirement(job, stone, 8, colour_group="buff")
    make_lot(kit, 2)
    make_lot(stone, 10)
    reserve_job(job_id=job.pk, by=None, at=AT)
    return job


def test_printing_a_jobs_labels_marks_its_lots_and_the_pick_list_says_so(
    client_for: Any, storeman: Any
) -> None:
    job, client = reserved(), client_for(storeman)
    pick = reverse("movements:pick", args=[job.pk])
    url = reverse("labels:job", args=[job.pk])
    before = client.get(pick).content.decode()
    assert url in before
    assert "labelled" not in before
    client.get(url)
    assert not Reservation.objects.filter(labelled_at__isnull=False).exists()

    answer = client.post(url, FORM)
    assert answer["Content-Type"] == "application/pdf"
    texts = [
        " ".join(page.extract_text().split())
        for page in PdfReader(io.BytesIO(answer.content)).pages
    ]
    assert [f"For {job.reference}: 2 kits" in text for text in texts] == [True, False]
    assert f"For {job.reference}, buff: 8 bags" in texts[1]
    assert all("See the safety data sheet." in text for text in texts)
    assert client.get(pick).content.decode().count("labelled") == 2
    assert "labelled" in client.get(reverse("allocation:job", args=[job.pk])).content.decode()


def test_printed_again_the_mark_stays_and_given_back_it_is_gone() -> None:
    job = reserved()
    for minutes in (0, 5):
        label_job(job_id=job.pk, by=None, at=AT + timedelta(minutes=minutes))
    assert {row.labelled_at for row in Reservation.objects.all()} == {AT}
    assert Event.objects.filter(verb="stock.label").count() == 1
    release_job(job_id=job.pk, by=None, at=AT)
    reserve_job(job_id=job.pk, by=None, at=AT)
    assert {row.labelled_at for row in Reservation.objects.all()} == {None}


def test_nothing_reserved_and_a_position_that_is_not_there_are_sentences(
    client_for: Any, storeman: Any
) -> None:
    client, job = client_for(storeman), make_job(stage="won")
    page = client.post(reverse("labels:job", args=[job.pk]), FORM)
    assert page.status_code == 422
    assert "Nothing is reserved" in page.content.decode()
    job = reserved()
    page = client.post(reverse("labels:job", args=[job.pk]), FORM | {"start": "2"})
    assert page.status_code == 422
    assert not Reservation.objects.filter(labelled_at__isnull=False).exists()
