from __future__ import annotations

from typing import Any

import pytest

from jobs.billing import tasks
from jobs.billing.enums import PaperState
from jobs.billing.models import InvoicePaper
from jobs.kernel.models import TaskRun
from tests.jobs.billing.world import deposit_invoiced

pytestmark = pytest.mark.django_db(transaction=True)


def test_sweep_draws_what_no_bell_reached_in_parts(monkeypatch: Any) -> None:
    monkeypatch.setattr(tasks, "MOST_A_SWEEP", 1)
    first, second = deposit_invoiced(), deposit_invoiced()
    for left in (1, 0, 0):
        tasks.sweep()
        assert InvoicePaper.objects.filter(state=PaperState.DUE).count() == left
    assert TaskRun.objects.filter(name="jobs.billing.sweep").latest("pk").outcome == "0 drawn"
    assert {first.paper.pk, second.paper.pk} == set(
        InvoicePaper.objects.filter(state=PaperState.READY, pages=1).values_list("pk", flat=True)
    )
