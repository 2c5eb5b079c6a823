from __future__ import annotations

from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.core.management import call_command


@pytest.mark.django_db
def test_the_first_person_is_made_by_command_and_is_an_owner(monkeypatch: Any) -> None:
    """As the README says: a new database has nobody who could invite anybody."""
    monkeypatch.setenv("DJANGO_SUPERUSER_PASSWORD", "a-long-password")
    call_command("createsuperuser", email="Iris@Firm.example", interactive=False, verbosity=0)

    first = get_user_model().objects.get_by_natural_key("iris@firm.example")

    assert first.check_password("a-long-password")
    assert first.has_perm("jobs.manage_team")
    assert not first.is_superuser
