"""auditbooks finds every figure that was changed behind the program's back, and nothing else."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.management import call_command
from django.db import connection

from jobs.attachments.queries import path_of
from jobs.billing.models import InvoicePaper
from jobs.billing.services import reverse_receipt
from jobs.costing.services import post_cost
from jobs.kernel.appendonly import install_triggers, remove_triggers
from tests.factories import AT, DAY
from tests.jobs.billing.world import (
    ask,
    before_money,
    contractor,
    credit,
    deposit_invoiced,
    drawn_quickly,
    household,
    invoice_money,
    pay,
    plan,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def books() -> Iterator[None]:
    """Money in all its forms, and no guard against changing it."""
    first = deposit_invoiced()
    drawn_quickly(first)
    invoice_money(pay(ask(first.job, 1)))
    credit(first, {20: "10.00"})
    before_money()
    job = contractor()
    plan(job)
    invoice_money(pay(ask(job)))
    receipt = pay(ask(job, 1), "10.00")
    reverse_receipt(receipt_id=receipt.pk, reason="bounced", key=uuid4(), by=None, at=AT)
    cost: dict[str, Any] = {
        "job": job, "kind": "actual", "category": "other", "what": "skip", "day": DAY,
        "source": "test", "source_id": 1, "by": None, "at": AT,
    }  # fmt: skip
    entry = post_cost(amount=Decimal(100), key="a", **cost)
    post_cost(amount=Decimal(-100), key="b", reverses=entry, **cost)
    remove_triggers()
    yield
    install_triggers()


def audit(*args: str) -> tuple[int, str]:
    out, code = io.StringIO(), 0
    try:
        call_command("auditbooks", *args, stdout=out)
    except SystemExit as ended:
        code = int(ended.code or 0)
    return code, out.getvalue()


def test_empty_books_agree() -> None:
    code, text = audit("--json")
    assert code == 0
    assert json.loads(text) == {
        "ok": True, "requests": 0, "receipts": 0, "invoices": 0, "cost_entries": 0,
        "differences": [],
    }  # fmt: skip


def test_books_in_order_agree(books: None) -> None:
    code, text = audit()
    assert (code, text.splitlines()[-1]) == (0, "Everything agrees.")
    assert "5 invoices" in text


@pytest.mark.parametrize(
    ("sql", "what"),
    [
        ("UPDATE jobs_receipt SET amount = amount + 1 WHERE reverses_id IS NULL", ": received"),
        ("UPDATE jobs_receipt SET cis_deducted = 1 WHERE reverses_id IS NOT NULL", "taken back"),
        ("UPDATE jobs_issuedline SET net = net + 1 WHERE position = 0", "INV-2026-0001"),
        ("UPDATE jobs_issuedrate SET net = net - 100, vat = vat + 100 WHERE gross > 0",
         "VAT at 20 %"),
        ("UPDATE jobs_invoice SET net = net + 1, gross = gross + 1 WHERE kind = 'credit'",
         "CN-2026-0001"),
        ("UPDATE jobs_invoice SET reverse_vat = 1 WHERE reverse_charge", "by reverse charge"),
        ("UPDATE jobs_issuedrate SET net = -99900, vat = -19980, gross = -119880 WHERE net < 0",
         "credited at 20 %"),
        ("UPDATE jobs_planshare SET net = 1", "no more than was agreed"),
        ("UPDATE jobs_numberseries SET last = 9 WHERE name = 'INV-2026'",
         "INV-2026-0006, INV-2026-0007"),
        ("UPDATE jobs_invoice SET number = 'INV-2026-0099' WHERE number = 'INV-2026-0002'",
         "INV-2026-0099"),
        ("UPDATE jobs_paymentrequest SET reference = 'R-2026-0009' WHERE reference = 'R-2026-0002'",
         "series R-2026"),
        ("UPDATE jobs_costentry SET amount = -9999 WHERE reverses_id IS NOT NULL",
         "cost 'skip' taken back"),
    ],
)  # fmt: skip
def test_a_figure_changed_behind_its_back_is_named(books: None, sql: str, what: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql)
        assert cursor.rowcount
    code, text = audit("--json")
    assert code == 1
    found = json.loads(text)
    assert not found["ok"]
    assert any(what in " ".join(row.values()) for row in found["differences"]), text


def test_a_pdf_that_changed_is_named(books: None) -> None:
    paper = InvoicePaper.objects.get(state="ready")
    path_of(paper.digest).write_bytes(b"%PDF-other")
    code, text = audit()
    assert code == 1
    assert "INV-2026-0001: PDF" in text


def test_money_of_today_is_listed_until_it_is_invoiced(office: Any) -> None:
    from jobs.billing.panels import invoices_without_money, money_to_invoice

    job = household()
    plan(job)
    receipt = pay(ask(job))
    [entry] = money_to_invoice(office, AT + timedelta(days=1))
    assert entry.button == "Issue the VAT invoice"
    invoice = invoice_money(receipt)
    assert not list(money_to_invoice(office, AT))
    assert not list(invoices_without_money(office, AT))
    reverse_receipt(receipt_id=receipt.pk, reason="bounced", key=uuid4(), by=None, at=AT)
    [entry] = invoices_without_money(office, AT)
    assert invoice.number in entry.title
    credit(invoice)
    assert not list(invoices_without_money(office, AT))


def test_erasing_a_customer_says_that_invoices_are_kept() -> None:
    from jobs.billing.queries import records_of
    from jobs.billing.services import post_erasure

    invoice = deposit_invoiced()
    customer = invoice.job.customer_id
    assert post_erasure(customer) == [
        "Kept: 1 invoice with name and address, which VAT law wants for six years."
    ]
    assert f"'number': '{invoice.number}'" in str(records_of(customer))
    assert post_erasure(household().customer_id) == []
