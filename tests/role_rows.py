"""The form of the role table: who gets what at each address.

Each room lists its rows in tests/APP/ROOM/roles.py as ROWS; tests/architecture/test_roles.py runs
all of them, walks the resolver, and fails on an address that no row names.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

ROLES = ("owner", "office", "storeman", "accountant", "crew", "stranger", "nobody")


@dataclass(frozen=True)
class World:
    """What a row's maker returns: the address's arguments, the form, and the model to watch."""

    kwargs: dict[str, Any] = field(default_factory=dict)
    data: dict[str, Any] = field(default_factory=dict)
    query: str = ""


@dataclass(frozen=True)
class Row:
    """One address and method: the status each role gets.

    `statuses` maps a role (see ROLES; 'nobody' is not logged in) to its status; roles left out get
    403 (and 'nobody' 302 to the log-in). `whose` is 'own' or 'other' (another's or missing object).
    `make` builds the world and runs inside the test's database. `models` name the tables that a
    refused POST must leave as they were ('jobs.Customer').
    """

    name: str
    method: str
    statuses: dict[str, int]
    make: Callable[[], World] = World
    whose: str = "own"
    models: tuple[str, ...] = ()


def everybody(status: int = 200) -> dict[str, int]:
    """Return the statuses where each of the five roles gets the same."""
    return dict.fromkeys(ROLES[:5], status)


def only(*roles: str, status: int = 200) -> dict[str, int]:
    """Return the statuses where some roles get through and the others are refused."""
    return dict.fromkeys(roles, status)
