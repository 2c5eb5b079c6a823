"""Two clerks at once: numbers without a gap, and money that is invoiced once."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from functools import partial
from typing import Any

import pytest
from django.db import connections
from django.db.utils import OperationalError

from jobs.billing.models import Invoice
from jobs.billing.queries import audit_books
from jobs.kernel.errors import ServiceError
from tests.jobs.billing.world import ask, credit, household, invoice_money, pay, plan

pytestmark = pytest.mark.django_db(transaction=True)


def at_once(tries: Sequence[Callable[[], Any]]) -> list[str]:
    """Run all at the same moment; returns 'done' or 'refused' for each, in no order."""
    barrier, answers = threading.Barrier(len(tries)), []

    def run(one: Callable[[], Any]) -> None:
        try:
            barrier.wait(10)
            one()
            answers.append("done")
        except ServiceError:
            answers.append("refused")
        except OperationalError as error:  # SQLite gave up waiting: the test then fails
            answers.append(str(error))
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=(one,)) for one in tries]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    return sorted(answers)


def money() -> Any:
    job = household()
    plan(job)
    return pay(ask(job))


def test_numbers_have_no_gap_and_no_double() -> None:
    receipts = [money() for _ in range(6)]
    # One in between is refused: its number goes to the next.
    spent = receipts[0]
    invoice_money(spent)
    answers = at_once([partial(invoice_money, row) for row in (*receipts[1:], spent)])
    assert answers == ["done"] * 5 + ["refused"]
    numbers = sorted(Invoice.objects.values_list("number", flat=True))
    assert numbers == [f"INV-2026-{n:04d}" for n in range(1, 7)]
    assert audit_books().ok


def test_the_same_money_is_invoiced_once_and_credited_once() -> None:
    receipt = money()
    assert at_once([lambda: invoice_money(receipt)] * 3) == ["done", "refused", "refused"]
    invoice = Invoice.objects.get()
    assert at_once([lambda: credit(invoice)] * 3) == ["done", "refused", "refused"]
    assert audit_books().ok


@pytest.mark.postgres
def test_without_the_lock_the_same_money_is_invoiced_twice() -> None:
    # The control: only the lock differs. Not every round collides, so there are several.
    twice = False
    for _ in range(12):
        receipt = money()
        at_once([partial(invoice_money, receipt, lock=False)] * 4)
        twice = twice or Invoice.objects.filter(receipt=receipt).count() > 1
        if twice:
            break
    assert twice
