"""What the paper of an invoice says of paying it."""

from __future__ import annotations

from typing import Any

import pytest

from jobs.billing.documents import html_of
from jobs.billing.queries import sheet_of
from tests.jobs.billing.world import before_money, deposit_invoiced

pytestmark = pytest.mark.django_db
BANK = "Quill Bank, 00-00-00, account 11111111"


def test_an_open_invoice_says_where_to_pay_and_a_paid_one_does_not(settings: Any) -> None:
    settings.FIRM_BANK = BANK
    wanted = f" Pay to {BANK}."
    assert wanted in html_of(sheet_of(before_money()))
    assert wanted not in html_of(sheet_of(deposit_invoiced()))


def test_without_an_account_nothing_is_said_of_one(settings: Any) -> None:
    settings.FIRM_BANK = ""
    assert "Pay to" not in html_of(sheet_of(before_money()))
