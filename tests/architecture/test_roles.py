"""Who gets what at every address: the rooms' role tables, run as written, and none left out.

Each room lists its rows in tests/APP/ROOM/roles.py (see tests/role_rows.py). For every row and
role the status is asserted; a refused POST must leave the tables that the row names as they were.
An address that no row names fails the last test.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.views import View

from tests.factories import make_user
from tests.role_rows import ROLES, Row

REFUSED = {403, 404}
TESTS = Path(__file__).resolve().parents[1]
# Addresses that are not a room's own: Django's and the log-in's, tested in tests/config.
ELSEWHERE = {
    "home",
    "healthz",
    "style",
    "account_login",
    "account_logout",
    "account_inactive",
    "account_reauthenticate",
    "account_change_password",
    "account_set_password",
    "account_reset_password",
    "account_reset_password_done",
    "account_reset_password_from_key",
    "account_reset_password_from_key_done",
}


def all_rows() -> list[Row]:
    """Return the rows of every room's table."""
    rows: list[Row] = []
    for path in sorted(TESTS.glob("*/*/roles.py")):
        module = import_module(".".join(["tests", *path.relative_to(TESTS).with_suffix("").parts]))
        rows += module.ROWS
    return rows


def expected(row: Row, role: str) -> int:
    """Return the status a role gets: what the row says, else refused."""
    if role in row.statuses:
        return row.statuses[role]
    return 302 if role == "nobody" else 403


def named(row: Row) -> str:
    return f"{row.name} {row.method} {row.whose}"


def contents(models: tuple[str, ...]) -> dict[str, list[dict[str, Any]]]:
    return {
        name: list(apps.get_model(name)._base_manager.order_by("pk").values()) for name in models
    }


def cases() -> Iterator[tuple[Row, tuple[str, ...]]]:
    """Yield each row with the roles that can be tried on one world, one after the other.

    A GET and a refused POST change nothing, so that all roles share a world; a POST that goes
    through has one of its own.
    """
    for row in all_rows():
        if row.method == "GET":
            yield row, ROLES
            continue
        refused = tuple(role for role in ROLES if expected(row, role) in REFUSED or bare(row, role))
        if refused:
            yield row, refused
        for role in ROLES:
            if role not in refused:
                yield row, (role,)


def bare(row: Row, role: str) -> bool:
    """Return whether somebody who is not logged in is only led to the log-in."""
    return role == "nobody" and role not in row.statuses


def case_name(case: object) -> str:
    if isinstance(case, Row):
        return named(case)
    return "+".join(case) if isinstance(case, tuple) else str(case)


@pytest.mark.django_db
@pytest.mark.parametrize(("row", "roles"), list(cases()), ids=case_name)
def test_each_role_gets_what_the_table_says(
    row: Row, roles: tuple[str, ...], client_for: Callable[[Any], Client]
) -> None:
    world = row.make()
    url = reverse(row.name, kwargs=world.kwargs) + world.query
    for role in roles:
        client = Client()
        if role != "nobody":
            client = client_for(make_user() if role == "stranger" else make_user(role))
        before = contents(row.models)

        response = client.get(url) if row.method == "GET" else client.post(url, world.data)

        status = response.status_code
        assert status == expected(row, role), f"{role}: {response.content.decode()[:2000]}"
        if bare(row, role):
            assert response["Location"].startswith(reverse("account_login"))
        if expected(row, role) in REFUSED or bare(row, role):
            assert contents(row.models) == before


def patterns(resolver: URLResolver, prefix: str = "") -> Iterator[str]:
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            namespace = f"{prefix}{entry.namespace}:" if entry.namespace else prefix
            yield from patterns(entry, namespace)
        elif isinstance(entry, URLPattern):
            yield f"{prefix}{entry.name}" if entry.name else str(entry.pattern)


def test_no_address_is_missing_from_the_table() -> None:
    listed = {row.name for row in all_rows()} | ELSEWHERE
    missing = sorted(set(patterns(get_resolver())) - listed)
    assert missing == [], f"no row of a roles.py names {missing}"


def test_every_post_row_names_the_tables_it_must_not_touch() -> None:
    bare = [named(row) for row in all_rows() if row.method == "POST" and not row.models]
    assert bare == []


def views_of(resolver: URLResolver) -> Iterator[type[View]]:
    """Yield the class of every view of ours."""
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from views_of(entry)
        elif (found := getattr(entry.callback, "view_class", None)) is not None:
            yield found


def test_what_is_named_like_a_method_of_http_answers_it() -> None:
    """A property called `trace` would be called by TRACE, and answer 500."""
    named = [
        f"{view.__name__}.{method}"
        for view in set(views_of(get_resolver()))
        for method in view.http_method_names
        if not callable(getattr(view, method, callable))
    ]

    assert named == []
