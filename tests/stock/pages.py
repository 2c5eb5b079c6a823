"""What the pages' tests share: how many queries a page costs."""

from __future__ import annotations

from typing import Any

from django.db import connection
from django.test.utils import CaptureQueriesContext


def queries_of(client: Any, url: str) -> int:
    """Return how many queries a page costs, with those of session, user and permissions."""
    with CaptureQueriesContext(connection) as caught:
        assert client.get(url).status_code == 200
    return len(caught)
