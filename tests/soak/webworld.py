"""The firm that hostile requests meet: people of every role, and something behind each address."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from importlib import import_module
from pathlib import Path
from typing import Any

from django.db import transaction
from django.test import Client
from django.urls import Resolver404, URLPattern, URLResolver, get_resolver, resolve, reverse
from django.urls.exceptions import NoReverseMatch

from jobs.accounts.models import User
from tests.factories import make_user
from tests.role_rows import ROLES, Row
from tests.role_rows import World as Made
from tests.soak.nonsense import Fields, as_lists, broken_segment
from tests.soak.pages import Form, forms_of

TESTS = Path(__file__).resolve().parents[1]
BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


def names_of(resolver: URLResolver, prefix: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Yield the name of every address with the converters of its parts."""
    for entry in resolver.url_patterns:
        if isinstance(entry, URLResolver):
            yield from names_of(entry, f"{prefix}{entry.namespace}:" if entry.namespace else prefix)
        elif isinstance(entry, URLPattern) and entry.name:
            regex = getattr(entry.pattern, "regex", None)
            parts = dict.fromkeys(regex.groupindex) if regex is not None else {}
            yield f"{prefix}{entry.name}", parts | dict(entry.pattern.converters)


def role_rows() -> list[Row]:
    """Return the rows of every room's role table."""
    rows: list[Row] = []
    for path in sorted(TESTS.glob("*/*/roles.py")):
        module = import_module(".".join(["tests", *path.relative_to(TESTS).with_suffix("").parts]))
        rows += module.ROWS
    return rows


def key_of(row: Row) -> str:
    """Return what tells a row's maker from the others."""
    return f"{row.name} {row.method} {row.make.__name__}"


def as_in_a_test() -> transaction.Atomic:
    """Return a transaction like a test's: services that must be the outermost may run in it."""
    block = transaction.atomic()
    block._from_testcase = True  # type: ignore[attr-defined]
    return block


@dataclass
class World:
    """People with their browsers, the addresses, and what was learnt of their forms.

    names: every address with its converters; rows: role table rows by address, whose makers give
    objects that exist and forms that would pass; forms and filters: as read from pages; sent and
    closed: address and method that were tried, and that were answered by 405.
    """

    people: dict[str, User]
    clients: dict[str, Client]
    names: dict[str, dict[str, Any]]
    rows: dict[str, list[Row]]
    forms: dict[str, list[Fields]] = field(default_factory=dict)
    filters: dict[str, list[str]] = field(default_factory=dict)
    seen: dict[str, str] = field(default_factory=dict)
    last: dict[str, Made] = field(default_factory=dict)
    sent: set[tuple[str, str]] = field(default_factory=set)
    closed: set[tuple[str, str]] = field(default_factory=set)

    def log_in_again(self) -> None:
        """Undo what a request may have done to the people themselves."""
        for role, person in self.people.items():
            person.refresh_from_db()
            if not person.is_active:
                person.is_active = True
                person.save(update_fields=["is_active"])
            if role != "stranger":
                person.groups.set(groups_named(role))
            self.clients[role].force_login(person, backend=BACKEND)

    def place(self, name: str, draw: random.Random) -> tuple[str, Fields]:
        """Return a path to something that is there, where that is known, and a form for it."""
        rows = self.rows.get(name, [])
        if rows and draw.random() < 0.8:
            row = draw.choice(rows)
            # What was made before is met again: as after a double press, and sooner than anew.
            made = self.last.get(key_of(row)) if draw.random() < 0.65 else None
            made = made or self.made(row)
            parts = {part: made.kwargs.get(part, 1) for part in self.names[name]}
            return reverse(name, kwargs=parts) + made.query, as_lists(made.data)
        forms = self.forms.get(name)
        fields = {key: list(value) for key, value in draw.choice(forms).items()} if forms else {}
        if name in self.seen and draw.random() < 0.9:
            return self.seen[name], fields
        return self.guess(name, draw), fields

    def made(self, row: Row) -> Made:
        """Return something new behind a row's address, or what its maker made before."""
        key = key_of(row)
        try:
            with as_in_a_test():
                self.last[key] = row.make()
        except Exception:  # noqa: BLE001 - a maker may assume that its tables are empty, as in a test
            self.last.setdefault(key, Made(dict.fromkeys(self.names[row.name], 1)))
        return self.last[key]

    def guess(self, name: str, draw: random.Random) -> str:
        """Return a path made of small numbers and words, which may or may not lead anywhere."""
        kwargs: dict[str, Any] = {}
        for part, converter in self.names[name].items():
            kind = type(converter).__name__
            kwargs[part] = draw.choice(
                {
                    "IntConverter": (1, 2, 3, 0, 999_999_999, 2**63, 10**40),
                    "UUIDConverter": ("00000000-0000-4000-8000-000000000000",),
                }.get(
                    kind, ("csv", "xlsx", "rectangle", "outline", "won", "MQ", "x" * 86, "A" * 3000)
                )
            )
        try:
            return reverse(name, kwargs=kwargs)
        except NoReverseMatch:
            return "/" + "/".join(broken_segment(draw) for _ in range(3)) + "/"

    def learn(self, name: str, path: str, page: str) -> None:
        """Keep the forms of a page, each under the address it is sent to."""
        for form in forms_of(page):
            target = form.action.partition("?")[0] or path.partition("?")[0]
            if form.method != "post":
                self.filters[name] = [key for key in form.fields if len(key) < 60]
                continue
            self._keep(target, form)

    def _keep(self, target: str, form: Form) -> None:
        try:
            name = resolve(target).view_name
        except Resolver404:
            return
        self.seen[name] = target
        held = self.forms.setdefault(name, [])
        if dict(form.fields) not in held:
            held.append(dict(form.fields))
            del held[:-5]


def groups_named(role: str) -> Any:
    from django.contrib.auth.models import Group

    return Group.objects.filter(name=role)


def make_world() -> World:
    """Make people of every role, each with a browser in which they are logged in."""
    people = {
        role: make_user() if role == "stranger" else make_user(role)
        for role in ROLES
        if role != "nobody"
    }
    clients = {role: Client(raise_request_exception=False) for role in ROLES}
    rows: dict[str, list[Row]] = {}
    for row in role_rows():
        if row.whose == "own":
            rows.setdefault(row.name, []).append(row)
    world = World(people, clients, dict(names_of(get_resolver())), rows)
    world.log_in_again()
    return world
