"""The registered export: what the file holds, and that a code is registered once."""

from __future__ import annotations

from functools import partial

import pytest

from jobs.costing.exports import COSTING, costing_rows
from jobs.kernel.registries import EXPORTS, Export, register_export
from tests.factories import make_job


@pytest.mark.django_db
def test_costing_offers_its_rows_by_code() -> None:
    make_job()
    head, rows = EXPORTS["costing"].rows({})
    assert list(head)[:3] == ["job", "title", "category"]
    assert list(rows)[-1][:3] == ["all jobs", "", "in all"]


def test_a_code_is_registered_once() -> None:
    assert register_export(COSTING) is COSTING  # the same again, as when a room is loaded twice
    other = Export("costing", "Another", COSTING.permission, partial(costing_rows))
    with pytest.raises(ValueError, match="registered twice"):
        register_export(other)
    assert EXPORTS["costing"] is COSTING
