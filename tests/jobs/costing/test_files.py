"""One set of figures: page, CSV, XLSX and the command's JSON say the same and add up.

Long because: each refusal and each state has its own short test.
"""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import transaction
from django.test import Client
from django.urls import reverse
from openpyxl import load_workbook

from jobs.costing.queries import job_costs, jobs_with_costs, totals_of, variances_of
from jobs.costing.services import post_cost
from jobs.kernel.registries import COMMITMENTS
from jobs.work.models import Job
from tests.factories import AT, DAY, make_job, numbers

pytestmark = pytest.mark.django_db
Log = Callable[[Any], Client]
FIGURES = ("budget", "committed", "actual")
Sums = dict[str, dict[str, Decimal]]


def post(job: Job, kind: str, category: str, amount: str, day: date = DAY, **more: Any) -> None:
    with transaction.atomic():
        post_cost(
            job=job, kind=kind, category=category, what=f"{kind} {category}",
            amount=Decimal(amount), day=day, source="test", source_id=1,
            key=f"test:{next(numbers)}", by=None, at=AT, **more,
        )  # fmt: skip


@pytest.fixture
def firm() -> Any:
    """Two jobs with odd pence, one with a title that a spreadsheet would run, and an order."""
    mill = make_job(stage="booked", reference="J-2026-7001", title="Mill drive")
    evil = make_job(stage="won", reference="J-2026-7002", title="=HYPERLINK(1)")
    make_job(stage="won", title="Nothing yet")
    post(mill, "budget", "materials", "1234.56")
    post(mill, "budget", "labour", "800.00", quantity=Decimal(32), unit="h")
    post(mill, "actual", "labour", "879.75", quantity=Decimal("34.5"), unit="h")
    post(mill, "actual", "materials", "1100.01", DAY + timedelta(days=5))
    post(mill, "actual", "materials", "-0.07", DAY + timedelta(days=5))
    post(evil, "budget", "plant", "95.10")
    post(evil, "actual", "other", "0.33", DAY - timedelta(days=1))

    def open_orders(ids: Sequence[int]) -> Mapping[int, Mapping[str, Decimal]]:
        return {mill.pk: {"materials": Decimal("310.40")}} if mill.pk in ids else {}

    standing = list(COMMITMENTS)
    COMMITMENTS[:] = [open_orders]
    yield {"mill": mill, "evil": evil}
    COMMITMENTS[:] = standing


class Tables(HTMLParser):
    """Reads a page's tables as rows of text."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tables: list[list[list[str]]] = []
        self.inside = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        if tag == "table":
            self.tables.append([])
        elif tag == "tr" and self.tables:
            self.tables[-1].append([])
        elif tag in {"td", "th"} and self.tables:
            self.tables[-1][-1].append("")
            self.inside = True

    def handle_endtag(self, tag: str) -> None:
        if tag in {"td", "th"}:
            self.inside = False

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.tables[-1][-1][-1] += data.strip()


def pounds(text: str) -> Decimal:
    """Read a figure of the page: £, commas, a true minus, a dash for nothing."""
    plain = text.replace("£", "").replace(",", "").replace("\N{MINUS SIGN}", "-").strip()
    return Decimal(0) if plain in {"–", ""} else Decimal(plain)


def of_page(client: Client, query: str = "") -> Sums:
    page = client.get(reverse("costing:categories") + query).content.decode()
    head, *rows = Tables(page).tables[0]
    assert [name.lower() for name in head[1:4]] == ["budget", "on order", "actual"]
    return {row[0]: dict(zip(FIGURES, map(pounds, row[1:4]), strict=True)) for row in rows}


def of_rows(rows: list[list[Any]]) -> tuple[Sums, Sums]:
    """Return (the file's own totals, its job rows added up again) by category."""
    head, *body = rows
    assert head[:6] == ["job", "title", "category", *FIGURES]
    said: Sums = {}
    added: Sums = {}
    for row in body:
        figures = {name: Decimal(str(row[3 + n])) for n, name in enumerate(FIGURES)}
        if row[0] == "all jobs":
            said[row[2]] = figures
            continue
        for label in (row[2], "in all"):
            there = added.setdefault(label, dict.fromkeys(FIGURES, Decimal(0)))
            for name in FIGURES:
                there[name] += figures[name]
    return said, added


def csv_rows(data: bytes) -> list[list[Any]]:
    return list(csv.reader(io.StringIO(data.decode(), newline="")))


def xlsx_rows(data: bytes) -> list[list[Any]]:
    sheet = load_workbook(io.BytesIO(data)).active
    assert sheet is not None
    return [["" if cell is None else cell for cell in row] for row in sheet.values]


def command(*args: str) -> str:
    out = io.StringIO()
    call_command("costing", *args, stdout=out)
    return out.getvalue()


def nothing(sums: dict[str, Decimal]) -> bool:
    return not any(sums.values())


@pytest.mark.parametrize(
    "days", [{}, {"first": DAY.isoformat()}, {"first": "2026-05-14", "last": "2026-05-14"}]
)
def test_page_files_and_command_say_the_same(
    days: dict[str, str], firm: Any, accountant: Any, client_for: Log
) -> None:
    client = client_for(accountant)
    query = "?" + "&".join(f"{name}={value}" for name, value in days.items())
    page = of_page(client, query)
    assert page["in all"]["actual"] == {
        0: Decimal("1980.02"), 1: Decimal("1979.69"), 2: Decimal("879.75"),
    }[len(days)]  # fmt: skip
    for kind, read in (("csv", csv_rows), ("xlsx", xlsx_rows)):
        answer = client.get(reverse("costing:file", args=[kind]) + query)
        said, added = of_rows(read(answer.content))
        assert said == page
        assert {label: sums for label, sums in said.items() if not nothing(sums)} == added
    options = [f"--{ {'first': 'from', 'last': 'to'}[name] }={day}" for name, day in days.items()]
    told = json.loads(command(*options))
    assert {name: Decimal(told["totals"][name]) for name in FIGURES} == page["in all"]
    jobs = [Decimal(c[name]) for j in told["jobs"] for c in j["categories"] for name in FIGURES]
    assert sum(jobs) == sum(page["in all"].values())
    assert told["from"] == days.get("first")
    assert told["to"] == days.get("last")


def test_a_job_pages_figures_are_its_files(firm: Any, accountant: Any, client_for: Log) -> None:
    client = client_for(accountant)
    page = client.get(reverse("costing:job", args=[firm["mill"].pk])).content.decode()
    shown = {row[0]: pounds(row[3]) for row in Tables(page).tables[0][1:]}
    data = client.get(reverse("costing:file", args=["csv"]), {"job": "J-2026-7001"}).content
    said, _added = of_rows(csv_rows(data))
    assert shown == {label: sums["actual"] for label, sums in said.items()}
    assert shown["in all"] == Decimal("1979.69")
    assert "J-2026-7002" not in data.decode()


def test_the_lists_foot_adds_up_what_it_lists(firm: Any, owner: Any, client_for: Log) -> None:
    page = client_for(owner).get(reverse("costing:list")).content.decode()
    rows = Tables(page).tables[0]
    head = [name.lower() for name in rows[0]]
    for name in ("budget", "actual"):
        at = head.index(name)
        assert pounds(rows[-1][at]) == sum(pounds(row[at]) for row in rows[1:-1])
    assert len(rows) == 4


def test_no_title_is_taken_for_a_formula(firm: Any, owner: Any, client_for: Log) -> None:
    # OWASP, 'CSV Injection': text that begins with = is neutralised by an apostrophe.
    data = client_for(owner).get(reverse("costing:file", args=["csv"])).content.decode()
    assert ",'=HYPERLINK(1)," in data
    assert "\n=" not in data
    assert ",=" not in data


def test_money_is_a_figure_in_the_sheet(firm: Any, owner: Any, client_for: Log) -> None:
    data = client_for(owner).get(reverse("costing:file", args=["xlsx"])).content
    body = [row for row in xlsx_rows(data)[1:] if row[0] == "J-2026-7001"]
    assert all(isinstance(cell, int | float) for row in body for cell in row[3:])


def test_days_that_cannot_be_used_give_no_figures(firm: Any, owner: Any, client_for: Log) -> None:
    client = client_for(owner)
    for query in ("?first=nonsense", "?first=2026-05-14&last=2026-05-13"):
        page = client.get(reverse("costing:categories") + query)
        assert page.status_code == 200
        assert page.context["form"].errors
        assert Tables(page.content.decode()).tables == []
        file = client.get(reverse("costing:file", args=["csv"]) + query)
        assert file.status_code == 302
        assert file["Location"].startswith(reverse("costing:categories"))


def test_an_unknown_job_has_no_file(owner: Any, client_for: Log) -> None:
    url = reverse("costing:file", args=["csv"])
    assert client_for(owner).get(url, {"job": "J-1999-0001"}).status_code == 404


def test_differences_that_can_be_taken_apart(firm: Any, owner: Any, client_for: Log) -> None:
    [labour] = variances_of(firm["mill"])
    # 32 h at £25.00 reckoned, 34.5 h at £25.50 worked: price 0.50 × 34.5, hours 2.5 × 25.00.
    assert (labour.label, labour.unit) == ("labour", "h")
    assert (labour.parts.price, labour.parts.usage) == (Decimal("17.25"), Decimal("62.50"))
    page = client_for(owner).get(reverse("costing:job", args=[firm["mill"].pk])).content.decode()
    row = Tables(page).tables[1][1]
    assert [pounds(cell.replace("+", "")) for cell in row[3:]] == [
        Decimal("17.25"), Decimal("62.50"), Decimal("79.75"),
    ]  # fmt: skip


def test_mixed_units_are_not_taken_apart(firm: Any) -> None:
    post(firm["mill"], "actual", "labour", "50.00")  # a day's helper, without hours
    assert variances_of(firm["mill"]) == []


def test_costs_of_jobs_take_two_queries(firm: Any, django_assert_num_queries: Any) -> None:
    jobs = jobs_with_costs()
    with django_assert_num_queries(1):  # and one for each provider; the test's asks none
        costs = job_costs(jobs)
    assert totals_of(costs)[-1].committed == Decimal("310.40")


# -- the command --------------------------------------------------------------------------------


def test_json_has_every_key_when_there_is_nothing() -> None:
    nought = {"budget": "0.00", "committed": "0.00", "actual": "0.00"}
    assert json.loads(command()) == {"from": None, "to": None, "jobs": [], "totals": nought}


def test_one_job_by_reference(firm: Any) -> None:
    told = json.loads(command("--job", "J-2026-7002"))
    assert [job["job"] for job in told["jobs"]] == ["J-2026-7002"]
    assert told["totals"]["actual"] == "0.33"
    assert [c["category"] for c in told["jobs"][0]["categories"]] == [
        "materials", "labour", "plant", "subcontract", "travel", "other",
    ]  # fmt: skip


@pytest.mark.parametrize("kind", ["json", "csv", "xlsx"])
def test_a_file_is_written_and_never_overwritten(kind: str, firm: Any, tmp_path: Path) -> None:
    target = tmp_path / f"costs.{kind}"
    assert command("--format", kind, "--output", str(target)) == ""
    data = target.read_bytes()
    if kind == "json":
        assert json.loads(data)["totals"]["actual"] == "1980.02"
    else:
        said, _ = of_rows({"csv": csv_rows, "xlsx": xlsx_rows}[kind](data))
        assert said["in all"]["actual"] == Decimal("1980.02")
    with pytest.raises(CommandError, match="exists already") as refused:
        command("--format", kind, "--output", str(target))
    assert refused.value.returncode == 2
    assert target.read_bytes() == data


@pytest.mark.parametrize(
    ("args", "sentence"),
    [
        (["--job", "J-1999-0001"], "There is no job 'J-1999-0001'."),
        (["--from", "2026-05-14", "--to", "2026-05-13"], "--to is before --from."),
        (["--from", "14.5.2026"], "write it like 2026-05-14"),
        (["--from", "2026-02-30"], "write it like 2026-05-14"),
        (["--output", "/nowhere/costs.json"], "cannot be written"),
    ],
)
def test_unusable_input_exits_2_with_one_sentence(args: list[str], sentence: str) -> None:
    with pytest.raises(CommandError) as refused:
        command(*args)
    assert refused.value.returncode == 2
    assert sentence in str(refused.value)


def test_a_format_that_is_not_known_exits_2() -> None:
    root = Path(__file__).resolve().parents[3]
    words = [sys.executable, "manage.py", "costing", "--format", "pdf"]
    done = subprocess.run(words, cwd=root, capture_output=True, text=True, timeout=60, check=False)
    assert done.returncode == 2
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
