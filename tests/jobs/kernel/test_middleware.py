from __future__ import annotations

import pytest
from django.test import Client

LARGEST = 2**63 - 1


@pytest.mark.django_db
def test_an_id_that_no_row_can_have_is_not_found_before_anything_is_looked_up() -> None:
    assert Client().get(f"/jobs/{LARGEST + 1}/").status_code == 404
    # The largest possible one goes on to the view, which asks for a log-in first.
    assert Client().get(f"/jobs/{LARGEST}/").status_code == 302
