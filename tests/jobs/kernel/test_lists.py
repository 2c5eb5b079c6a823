from __future__ import annotations

import csv
import io
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from openpyxl import load_workbook

from jobs.customers.models import Contact
from jobs.kernel.lists import csv_file, safe_cell, sheet_cell
from jobs.kernel.tables import state_word, sum_of
from tests.factories import AT, make_customer

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.jobs.kernel.pages")]
LogIn = Callable[[Any], Client]
# Session, user, his own permissions, those of his groups; then the count, the page's rows, the sum.
QUERIES = 7


def names(page: str) -> list[str]:
    """Return the names in the first cells of the list, in order."""
    cells = page.split('data-label="Name"')[1:]
    return [cell.split(">", 1)[1].split("<", 1)[0] for cell in cells if "in all" not in cell[:40]]


@pytest.mark.parametrize("rows", [1, 3])
def test_list_page_costs_the_same_queries_for_any_rows(
    rows: int, owner: Any, client_for: LogIn, django_assert_num_queries: Any
) -> None:
    for _ in range(rows):
        make_customer()
    client = client_for(owner)
    with django_assert_num_queries(QUERIES):
        page = client.get("/room/").content.decode()
    assert len(names(page)) == rows


def test_search_finds_rows_in_which_every_word_occurs(owner: Any, client_for: LogIn) -> None:
    make_customer(name="Anna Petrova")
    make_customer(name="Anna Brook")
    page = client_for(owner).get("/room/?q=petrova+ANNA").content.decode()
    assert names(page) == ["Anna Petrova"]


def test_search_over_contacts_lists_a_customer_once(owner: Any, client_for: LogIn) -> None:
    customer = make_customer(name="Weir Builders")
    for name in ("Ivo Marsh", "Ida Marsh"):
        Contact.objects.create(customer=customer, name=name)
    page = client_for(owner).get("/room/?q=marsh").content.decode()
    assert names(page) == ["Weir Builders"]


@pytest.mark.parametrize(
    "query",
    ["q=%00", "q=" + "x" * 5000, "page=-4", "page=nine", "page=" + "9" * 30, "sort=nosuch",
     "kind=nosuch", "terms_days=many", "export=pdf", "sort=-secret"],
)  # fmt: skip
def test_bad_query_is_answered_as_a_page(query: str, owner: Any, client_for: LogIn) -> None:
    make_customer()
    assert client_for(owner).get(f"/room/?{query}").status_code == 200


def test_filter_that_cannot_be_used_says_so_and_lists_nothing(
    owner: Any, client_for: LogIn
) -> None:
    make_customer()
    page = client_for(owner).get("/room/?terms_days=many").content.decode()
    assert names(page) == []
    assert "A filter could not be used" in page
    assert 'aria-invalid="true"' in page
    assert 'value="many"' in page


def test_sort_orders_all_rows_and_is_announced(owner: Any, client_for: LogIn) -> None:
    for name, days in (("B", 7), ("A", 30), ("C", 14)):
        make_customer(name=name, terms_days=days)
    page = client_for(owner).get("/room/?sort=-terms_days").content.decode()
    assert names(page) == ["A", "C", "B"]
    assert page.count('aria-sort="descending"') == 1


def test_pages_hold_every_row_once_though_sorted_by_equal_values(
    owner: Any, client_for: LogIn
) -> None:
    made = [make_customer(terms_days=14).name for _ in range(27)]
    client = client_for(owner)
    first, second = (
        names(client.get(f"/room/?sort=terms_days&page={page}").content.decode()) for page in (1, 2)
    )
    assert (len(first), len(second)) == (25, 2)
    assert sorted(first + second) == sorted(made)


def test_page_beyond_the_last_shows_the_last(owner: Any, client_for: LogIn) -> None:
    for _ in range(27):
        make_customer()
    page = client_for(owner).get("/room/?page=99").content.decode()
    assert "Page 2 of 2, rows 26 to 27" in page


def test_total_covers_rows_of_all_pages(owner: Any, client_for: LogIn) -> None:
    for _ in range(30):
        make_customer(terms_days=7)
    page = client_for(owner).get("/room/").content.decode()
    foot = page.split("<tfoot")[1]
    assert ">210<" in foot  # 30 times 7


def test_empty_list_says_so_in_its_own_words(owner: Any, client_for: LogIn) -> None:
    page = client_for(owner).get("/room/").content.decode()
    assert "No customers yet." in page
    assert "<table" not in page


def test_fragment_request_gets_the_rows_only(owner: Any, client_for: LogIn) -> None:
    make_customer(name="Anna")
    response = client_for(owner).get("/room/", HTTP_HX_REQUEST="true")
    page = response.content.decode()
    assert names(page) == ["Anna"]
    assert "<html" not in page
    assert page.strip().startswith('<div id="rows">')
    assert "HX-Request" in response["Vary"]


def test_button_is_shown_to_those_who_may_use_it(owner: Any, crew: Any, client_for: LogIn) -> None:
    assert "Add a customer" in client_for(owner).get("/room/").content.decode()
    assert "Add a customer" not in client_for(crew).get("/room/").content.decode()


def test_column_without_permission_is_neither_shown_nor_exported(
    owner: Any, crew: Any, client_for: LogIn
) -> None:
    make_customer()
    for user, seen in ((owner, True), (crew, False)):
        client = client_for(user)
        assert ("Secret" in client.get("/room/").content.decode()) is seen
        assert ("Secret" in client.get("/room/?export=csv").content.decode()) is seen


def test_hidden_column_cannot_be_sorted_by(crew: Any, client_for: LogIn) -> None:
    make_customer(name="A", version=1)
    make_customer(name="B", version=9)
    page = client_for(crew).get("/room/?sort=-secret").content.decode()
    assert names(page) == ["A", "B"]


def test_files_need_their_permission(owner: Any, crew: Any, client_for: LogIn) -> None:
    assert client_for(crew).get("/room/guarded/?export=csv").status_code == 403
    assert client_for(owner).get("/room/guarded/?export=csv").status_code == 200
    assert "export=csv" not in client_for(crew).get("/room/guarded/").content.decode()


def test_csv_holds_all_filtered_rows_in_order_and_opens_harmlessly(
    owner: Any, client_for: LogIn
) -> None:
    for n in range(26):
        make_customer(name=f"{n:02d}", terms_days=30)
    make_customer(name="=1+1", terms_days=60)
    make_customer(name="left out", kind="builder")
    response = client_for(owner).get("/room/?kind=household&sort=-terms_days&export=csv")
    assert response["Content-Type"] == "text/csv; charset=utf-8"
    assert response["Content-Disposition"].startswith('attachment; filename="people-who-pay-')
    # Python's own reader stands for a spreadsheet.
    rows = list(csv.reader(io.StringIO(response.content.decode(), newline="")))
    assert rows[0] == ["Name", "Days", "Kind", "Since", "Secret"]
    assert rows[1] == ["'=1+1", "60", "household", "2026-05-14 09:00:00", "1"]
    assert [row[0] for row in rows[2:]] == [f"{n:02d}" for n in range(26)]


def test_workbook_holds_figures_as_figures(owner: Any, client_for: LogIn) -> None:
    make_customer(name="@sum", terms_days=14)
    response = client_for(owner).get("/room/?export=xlsx")
    sheet: Any = load_workbook(io.BytesIO(response.content)).active
    rows = [list(row) for row in sheet.iter_rows(values_only=True)]
    assert rows[1] == ["'@sum", 14, "household", AT.replace(tzinfo=None), 1]


@pytest.mark.parametrize(
    ("cell", "safe"),
    [
        # The starts that OWASP's page 'CSV Injection' names.
        ("=1+1", "'=1+1"), ("+1+1", "'+1+1"), ("-1+1", "'-1+1"), ("@sum(A1)", "'@sum(A1)"),
        ("\t=1", "'\t=1"), ("  =1", "'=1"),
        ("-12.50", "-12.50"), ("plain", "plain"), ("", ""), (-3, -3),
        (Decimal("-1.50"), Decimal("-1.50")), (None, None),
    ],
)  # fmt: skip
def test_cells_that_would_be_formulas_are_neutralised(cell: Any, safe: Any) -> None:
    assert safe_cell(cell) == safe


def test_markup_leaves_a_file_as_its_text() -> None:
    assert safe_cell(state_word("stop", "held & wet")) == "■ held & wet"


def test_csv_ends_its_lines_as_the_standard_says() -> None:
    # RFC 4180, section 2: records end in CRLF, a quote is doubled inside quotes.
    content, _ = csv_file([["a", 'b "c"'], ["d, e", 1]])
    assert content == b'a,"b ""c"""\r\n"d, e",1\r\n'


def test_sheet_cell_drops_what_a_workbook_cannot_hold() -> None:
    assert sheet_cell("a\x0bb") == "ab"


def test_sum_of_plain_rows_adds_in_python() -> None:
    assert sum_of([{"n": 1}, {"n": None}, {"n": 4}], "n") == 5


def test_moment_is_written_on_londons_clock(owner: Any, client_for: LogIn) -> None:
    make_customer(created_at=AT)
    assert "Thu 14 May 2026, 09:00" in client_for(owner).get("/room/").content.decode()


def test_list_needs_a_log_in_and_its_permission(
    client: Client, stranger: Any, client_for: LogIn
) -> None:
    response = client.get("/room/?q=x")
    assert (response.status_code, response["Location"]) == (
        302,
        "/accounts/login/?next=/room/%3Fq%3Dx",
    )
    assert client_for(stranger).get("/room/").status_code == 403


@pytest.mark.parametrize("per_page", ["0", "-1", "-9223372036854775809", "1000000000", "x"])
def test_the_size_of_a_page_is_not_the_requests_to_choose(
    per_page: str, owner: Any, client_for: LogIn
) -> None:
    for n in range(30):
        make_customer(name=f"{n:02d}")
    response = client_for(owner).get(f"/room/?page=7&per_page={per_page}")
    assert response.status_code == 200
    assert "Page 2 of 2, rows 26 to 30" in response.content.decode()
