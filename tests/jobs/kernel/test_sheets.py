from __future__ import annotations

import csv
import io
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
import tablib
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from jobs.customers.enums import CustomerKind
from jobs.customers.models import Customer
from jobs.kernel import sheets
from jobs.kernel.sheetfields import Choice, Day, Figure, Known, Whole, Words, YesNo
from jobs.kernel.sheetfile import SheetError, read_sheet
from tests.factories import make_customer
from tests.jobs.kernel.pages import CustomerResource

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.jobs.kernel.pages")]
LogIn = Callable[[Any], Client]
HEAD = "Name,Kind,Days to pay\r\n"


def bring(client: Client, text: str, name: str = "people.csv") -> Any:
    return client.post("/room/sheet/", {"file": SimpleUploadedFile(name, text.encode())})


def test_a_file_is_looked_at_before_it_changes_anything(office: Any, client_for: LogIn) -> None:
    make_customer(name="Anna Marsh", terms_days=14)
    client = client_for(office)
    page = bring(client, HEAD + "Anna Marsh,household,30\r\nBen Okafor,builder,21\r\n")
    assert page.status_code == 200
    found = page.context["found"]
    assert [(row.line, row.kind, row.name) for row in found.rows] == [
        (2, "changed", "Anna Marsh"),
        (3, "new", "Ben Okafor"),
    ]
    assert [(c.head, c.before, c.after) for c in found.rows[0].changes] == [
        ("Days to pay", "14", "30")
    ]
    assert Customer.objects.get().terms_days == 14

    done = client.post("/room/sheet/", {"rows": page.context["carried"]})
    assert (done.status_code, done["Location"]) == (302, "/room/all/")
    assert dict(Customer.objects.values_list("name", "terms_days")) == {
        "Anna Marsh": 30,
        "Ben Okafor": 21,
    }


def test_one_refused_row_refuses_the_file(office: Any, client_for: LogIn) -> None:
    client = client_for(office)
    rows = ["Ben,builder,21", "", "Cleo,king,20", "Nobody,builder,1", "Ben,builder,7", "Dan,,many"]
    page = bring(client, HEAD + "\r\n".join(rows))
    assert page.status_code == 422
    assert [(row.line, row.kind) for row in page.context["found"].rows] == [
        (2, "new"), (4, "refused"), (5, "refused"), (6, "refused"), (7, "refused"),
    ]  # fmt: skip
    said = page.content.decode()
    assert "Kind: &#x27;king&#x27; is not one of:" in said
    assert "Nobody is not a customer." in said
    assert "The same row stands in line 2 already." in said
    assert "Days to pay: &#x27;many&#x27; is no figure" in said
    assert page.context["carried"] == ""
    assert not Customer.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_a_refused_row_that_comes_at_the_end_leaves_nothing(office: Any, at: Any) -> None:
    sheet = read_sheet("x.csv", (HEAD + "Ben,builder,21\r\nNobody,builder,1\r\n").encode())
    with pytest.raises(SheetError, match="nothing was taken over"):
        sheets.take_over(CustomerResource(), sheet, digest="", by=office, at=at)
    assert not Customer.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_books_that_changed_meanwhile_are_looked_at_again(office: Any, client_for: LogIn) -> None:
    make_customer(name="Anna Marsh", terms_days=14)
    client = client_for(office)
    page = bring(client, HEAD + "Anna Marsh,household,30\r\nBen,builder,21\r\n")
    Customer.objects.update(terms_days=7)
    again = client.post("/room/sheet/", {"rows": page.context["carried"]})
    assert "The books changed since you looked at the file." in again.content.decode()
    assert [c.before for c in again.context["found"].rows[0].changes] == ["7"]
    assert Customer.objects.count() == 1
    # What was shown now can be taken; sent twice it changes nothing more.
    for _ in range(2):
        client.post("/room/sheet/", {"rows": again.context["carried"]})
    assert sorted(Customer.objects.values_list("name", "terms_days")) == [
        ("Anna Marsh", 30),
        ("Ben", 21),
    ]


def test_the_rows_a_page_carries_are_for_one_person(
    office: Any, owner: Any, client_for: LogIn
) -> None:
    page = bring(client_for(office), HEAD + "Ben,builder,21\r\n")
    for carried in (page.context["carried"], "tampered"):
        answer = client_for(owner).post("/room/sheet/", {"rows": carried})
        assert answer.status_code == 422
        assert "Bring the file again." in answer.content.decode()
    assert not Customer.objects.exists()


def test_who_may_not_write_may_not_bring_a_file(crew: Any, client_for: LogIn) -> None:
    assert bring(client_for(crew), HEAD + "Ben,builder,21\r\n").status_code == 403
    assert client_for(crew).get("/room/sheet/out/").status_code == 200


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_what_goes_out_can_come_in_again(kind: str, office: Any, client_for: LogIn) -> None:
    make_customer(name="=Anna & sons", kind="builder", terms_days=21)
    make_customer(name="Ben", terms_days=14)
    client = client_for(office)
    data = client.get(f"/room/sheet/out/?export={kind}").content
    # Read by a library that shares nothing with our reader.
    table = tablib.Dataset().load(data if kind == "xlsx" else data.decode(), format=kind)
    assert table.headers == ["Name", "Kind", "Days to pay", "Since"]
    assert table["Name"] == ["'=Anna & sons", "Ben"]
    page = client.post("/room/sheet/", {"file": SimpleUploadedFile(f"x.{kind}", data)})
    assert page.context["found"].counts == {"new": 0, "changed": 0, "same": 2, "refused": 0}
    assert "Nothing in this file differs" in page.content.decode()


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "The file is empty"),
        (b"\r\n \r\n", "The file is empty"),
        (b"Name,,Kind\r\n", "Column 2 has no name"),
        (b"Name,Name\r\nA,B", "stands twice"),
        (b"Name\r\nA,B", "Line 2 has more cells"),
        (b"\x00\x01\x02", "no table"),
        (b"PK\x03\x04broken", "workbook cannot be read"),
        (b'Name\r\n"A', "cannot be read as CSV"),
        (b"Colour\r\nred", "&#x27;Colour&#x27; is not known"),
        (b"Kind\r\nbuilder", "&#x27;Name&#x27; is missing"),
        (b"x" * 2_000_001, "larger than 2 MB"),
    ],
)
def test_files_that_cannot_be_used(
    data: bytes, sentence: str, office: Any, client_for: LogIn
) -> None:
    answer = client_for(office).post("/room/sheet/", {"file": SimpleUploadedFile("f.csv", data)})
    assert answer.status_code == 422
    assert sentence in answer.content.decode()


def test_no_file_is_said(office: Any, client_for: LogIn) -> None:
    answer = client_for(office).post("/room/sheet/", {})
    assert answer.status_code == 422
    assert "Choose the file." in answer.content.decode()


@pytest.mark.parametrize(
    "data",
    [
        "Name;Kind\r\nBen Å;builder\r\n".encode("utf-16"),
        "Name\tKind\nBen Å\tbuilder\n".encode("utf-8-sig"),
        "Name,Kind\nBen Å,builder".encode("cp1252"),
    ],
)
def test_text_comes_in_several_dresses(data: bytes) -> None:
    assert read_sheet("f.csv", data).rows == ((2, ("Ben Å", "builder")),)


def test_a_workbook_s_figures_and_days_become_text() -> None:
    from datetime import date

    from openpyxl import Workbook

    book = Workbook(write_only=True)
    page = book.create_sheet()
    page.append(["a", "b", "c", "d", None])
    page.append([date(2026, 5, 14), 12.5, 3, True, None])
    out = io.BytesIO()
    book.save(out)
    assert read_sheet("f.xlsx", out.getvalue()).rows == ((2, ("2026-05-14", "12.5", "3", "yes")),)


@pytest.mark.parametrize(
    ("cell", "text", "value"),
    [
        (Figure(places=2), "£1,234.50", Decimal("1234.5")),
        (Figure(places=4, least=None), "\u22120.25", Decimal("-0.25")),
        (Whole(default=3), "", 3),
        (Day(), "14/05/2026", "2026-05-14"),
        (YesNo(), "Yes", True),
        (Choice(CustomerKind), "BUILDER", "builder"),
    ],
)
def test_cells_read_and_write_back(cell: Any, text: str, value: Any) -> None:
    read = cell.clean(text)
    assert (read.isoformat() if hasattr(read, "isoformat") else read) == value
    assert cell.clean(cell.render(read)) == read


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        (Figure(), "twelve"), (Figure(), ""), (Figure(), "-1"), (Figure(), "1.234"),
        (Figure(), "NaN"), (Figure(), "Infinity"), (Figure(), "1e30"), (Whole(), "1.5"),
        (Day(), "32/01/2026"), (YesNo(), "perhaps"), (Choice(CustomerKind), "king"),
        (Words(needed=True), ""), (Words(most=3), "four"), (Known(Customer, "name"), "Zoe"),
    ],
)  # fmt: skip
def test_cells_that_cannot_be_used_say_why(cell: Any, text: str) -> None:
    with pytest.raises(ValueError, match=r"[A-Z'].*\."):
        cell.clean(text)


def test_known_reads_its_table_once(django_assert_num_queries: Any) -> None:
    make_customer(name="Anna")
    cell = Known(Customer, "name", needed=False)
    with django_assert_num_queries(1):
        assert {cell.clean("anna").name, cell.clean(" ANNA ").name} == {"Anna"}
        assert cell.clean("") is None


def test_csv_is_rfc_4180(office: Any, client_for: LogIn) -> None:
    make_customer(name='Ben "the bag", Hull')
    data = client_for(office).get("/room/sheet/out/").content.decode()
    assert data.endswith("\r\n")
    assert list(csv.reader(io.StringIO(data)))[1][0] == 'Ben "the bag", Hull'
