"""Waste leaves with its note: each once, void where it was a mistake; and the bench's field."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from jobs.attachments.queries import attachments_of
from jobs.kernel.errors import ServiceError
from stock.ledger.models import Posting
from stock.movements.models import WasteNote
from stock.movements.queries import waste_without_note, where_to
from stock.movements.services import post_note, undo_posting, void_note, waste_stock
from tests.factories import AT, DAY, make_job, make_kit, make_lot, make_place
from tests.jobs.attachments.files import photo
from tests.stock.pages import queries_of

pytestmark = pytest.mark.django_db


def waste() -> Posting:
    bay = make_place()
    lot = make_lot(make_kit(), 3, place=bay)
    return waste_stock(
        lot_id=lot.pk, place_id=bay.pk, quantity=1, reason="leaked", key=uuid4(), day=DAY,
        by=None, at=AT,
    )  # fmt: skip


def note(*postings: Posting, **fields: Any) -> WasteNote:
    values: dict[str, Any] = {
        "kind": "consignment", "number": "N-17", "carrier": "Orrford Skips",
        "registration": "CBDU-000", "taken_to": "Orrford transfer station", "taken_on": DAY,
        "words": "resin tins, part full", "key": uuid4(), "by": None, "at": AT,
    }  # fmt: skip
    return post_note(posting_ids=[row.pk for row in postings], **values | fields)


def test_waste_goes_with_one_note() -> None:
    first, second = waste(), waste()
    made = note(first)
    assert list(waste_without_note()) == [second]
    for wrong in ([first, second], []):
        with pytest.raises(ServiceError) as refusal:
            note(*wrong)
        assert refusal.value.field == "postings"
    assert made.lines.get().posting == first


def test_one_key_records_one_note() -> None:
    posting, key = waste(), uuid4()
    assert note(posting, key=key) == note(posting, key=key)
    with pytest.raises(ServiceError):
        note(posting, key=key, number="N-18")


def test_undone_waste_and_a_day_to_come_are_refused() -> None:
    posting = waste()
    with pytest.raises(ServiceError) as refusal:
        note(posting, taken_on=DAY + timedelta(days=1))
    assert refusal.value.field == "taken_on"
    undo_posting(posting_id=posting.pk, reason="not torn", key=uuid4(), by=None, at=AT)
    with pytest.raises(ServiceError):
        note(posting)


def test_waste_that_left_is_undone_only_after_its_note_is_void() -> None:
    posting = waste()
    made = note(posting)
    with pytest.raises(ServiceError) as refusal:
        undo_posting(posting_id=posting.pk, reason="x", key=uuid4(), by=None, at=AT)
    assert refusal.value.code == "note"
    with pytest.raises(ServiceError):
        void_note(note_id=made.pk, reason=" ", by=None, at=AT)
    void_note(note_id=made.pk, reason="wrong load", by=None, at=AT)
    assert list(waste_without_note()) == [posting]
    undo_posting(posting_id=posting.pk, reason="x", key=uuid4(), by=None, at=AT)


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_any_number_of_rows(
    count: int, client_for: Any, storeman: Any
) -> None:
    for _ in range(count):
        note(waste())
    # session, user, 2 of permissions; count, rows, movements, lots, items, places
    assert queries_of(client_for(storeman), reverse("movements:waste_list")) == 10


def test_the_note_is_recorded_with_its_paper_and_found_again(
    client_for: Any, storeman: Any
) -> None:
    client, posting = client_for(storeman), waste()
    form = {
        "uid": uuid4(), "postings": [posting.pk], "kind": "transfer", "number": "T-9",
        "carrier": "Orrford Skips", "registration": "CBDU-000", "taken_to": "Orrford",
        "taken_on": "2026-05-14", "words": "bags, torn",
        "file": SimpleUploadedFile("note.jpg", photo(), "image/jpeg"),
    }  # fmt: skip
    url = reverse("movements:note_new")
    assert client.post(url, form | {"carrier": ""}).status_code == 422
    form["file"] = SimpleUploadedFile("note.jpg", photo(), "image/jpeg")
    answer = client.post(url, form)
    made = WasteNote.objects.get()
    assert answer["Location"] == made.get_absolute_url()
    assert attachments_of(made).count() == 1
    lot = posting.movements.get().lot
    assert lot.code in client.get(made.get_absolute_url()).content.decode()
    found = client.get(reverse("movements:waste_list"), {"q": "orrford", "note": "yes"})
    assert [row.record for row in found.context["table"].rows] == [posting]
    assert not client.get(reverse("movements:waste_list"), {"note": "no"}).context["table"].rows
    client.post(reverse("movements:note_void", args=[made.pk]), {"reason": "twice"})
    assert "This note is void." in client.get(made.get_absolute_url()).content.decode()


# -- the bench -------------------------------------------------------------------------------------


def test_a_scanned_code_opens_the_flow_that_its_button_says() -> None:
    bay = make_place(name="Rack 9")
    lot = make_lot(make_kit(), place=bay)
    job = make_job(stage="won")
    address = f"https://yard.example/labels/l/{lot.uid}/"
    label = f"https://yard.example/labels/p/{bay.pk}/"
    count = reverse("movements:count", args=[bay.pk])
    for code, flow, wanted in (
        (address, "open", lot.get_absolute_url()),
        (lot.code.lower(), "move", reverse("movements:transfer", args=[lot.pk])),
        (address, "waste", reverse("movements:waste", args=[lot.pk])),
        (address, "count", count), (label, "count", count), ("rack 9", "open", count),
        (job.reference, "issue", reverse("movements:issue", args=[job.pk])),
        (job.reference.lower(), "return", reverse("movements:return", args=[job.pk])),
        (job.reference, "open", job.get_absolute_url()),
    ):  # fmt: skip
        assert where_to(code, flow) == (wanted, "")


def test_what_does_not_go_together_is_said() -> None:
    bay = make_place(name="Rack 9")
    lot, job = make_lot(make_kit(), place=bay), make_job(stage="quoted")
    for code, flow, said in (
        ("", "open", "Scan or type a code first."),
        ("L-0", "open", "Nothing in the book has the code 'L-0'."),
        ("rack 9", "move", "is a place"), (lot.code, "issue", "is a lot"),
        (job.reference, "move", "is a job"), (job.reference, "issue", "is not won"),
        ("/labels/p/999999/", "count", "Nothing in the book"),
        (make_lot(make_kit(), 1, place=bay).code + "\x00x", "open", "Nothing in the book"),
    ):  # fmt: skip
        url, why = where_to(code, flow)
        assert (url, said in why) == ("", True)


def test_the_bench_sends_the_scanner_on_or_says_why_not(client_for: Any, storeman: Any) -> None:
    client, lot = client_for(storeman), make_lot(make_kit())
    page = client.get(reverse("movements:bench")).content.decode()
    assert 'name="do" value="waste"' in page
    scan = reverse("movements:scan")
    assert client.get(scan, {"code": lot.code})["Location"] == lot.get_absolute_url()
    assert client.get(scan, {"code": lot.code, "do": "fly"})["Location"] == lot.get_absolute_url()
    answer = client.get(scan, {"code": "nothing", "do": "move"}, follow=True)
    assert "Nothing in the book has the code" in answer.content.decode()
