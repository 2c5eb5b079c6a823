"""Two clerks at once: a bill stands once and is paid once, whoever is first."""

from __future__ import annotations

import pytest

from jobs.costing.models import CostEntry
from jobs.subcontract.models import SubcontractBill
from jobs.subcontract.queries import audit_subcontract
from tests.factories import make_job
from tests.jobs.billing.services.test_race import at_once
from tests.jobs.subcontract.world import bill, bill_back, paid, subcontractor

pytestmark = pytest.mark.django_db(transaction=True)


def test_the_same_bill_is_recorded_paid_and_taken_back_once() -> None:
    row, job = subcontractor(), make_job(stage="won")
    assert at_once([lambda: bill(row, job)] * 3) == ["done", "refused", "refused"]
    found = SubcontractBill.objects.get()
    # Paid or taken back, never both.
    answers = at_once([lambda: paid(found), lambda: bill_back(found), lambda: paid(found)])
    assert answers == ["done", "refused", "refused"]
    assert CostEntry.objects.count() == 1 + SubcontractBill.objects.exclude(reverses=None).count()
    assert audit_subcontract() == []
