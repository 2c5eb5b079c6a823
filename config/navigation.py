"""The words in the head of every page: where one may go, and where one is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse

from jobs.kernel.views import holds


@dataclass(frozen=True)
class Place:
    """A word of the head: the first of `url_names` that there is, for those who hold `permission`.

    `rooms` are the URL namespaces whose pages lie under this word.
    """

    label: str
    url_names: tuple[str, ...]
    permission: str | tuple[str, ...]
    rooms: frozenset[str]
    # What a single page of `url_names` asks for, where the pages differ in it.
    doors: Mapping[str, str] = field(default_factory=dict)

    def url_for(self, user: Any) -> str:
        """Return the first page that there is and that `user` may open, or ''."""
        names = [name for name in self.url_names if may_open(user, self.doors.get(name, ""))]
        return first_url(tuple(names)) if holds(user, self.permission) else ""


def may_open(user: Any, permission: str) -> bool:
    """Return whether a page with this permission of its own is open to `user`."""
    return not permission or holds(user, permission)


@dataclass(frozen=True)
class NavItem:
    """A word as the page shows it."""

    label: str
    url: str
    here: bool


PLACES = (
    Place("Today", ("today:today",), "jobs.view_work", frozenset({"today"})),
    Place(
        "Jobs",
        ("work:list",),
        "jobs.view_work",
        frozenset({"work", "sites", "surveys", "messages"}),
    ),
    Place("Customers", ("customers:list",), "jobs.manage_customers", frozenset({"customers"})),
    Place(
        "Quotes",
        ("quoting:list",),
        ("jobs.write_quote", "jobs.send_quote", "jobs.see_margin"),
        frozenset(
            {"quoting", "takeoff", "documents", "acceptance", "variations", "chasing", "results"}
        ),
    ),
    Place(
        "Yard",
        ("ledger:list", "ledger:yard", "catalogue:list"),
        "jobs.view_yard",
        frozenset(
            {
                "ledger",
                "catalogue",
                "allocation",
                "movements",
                "conditions",
                "labels",
                "tracing",
                "valuation",
            }
        ),
    ),
    Place(
        "Orders",
        ("ordering:list", "reorder:list"),
        ("jobs.place_order", "jobs.receive_goods"),
        frozenset({"ordering", "reorder", "suppliers", "claims"}),
    ),
    Place(
        "Calendar",
        ("calendar:board", "calendar:calendar", "calendar:week", "calendar:list"),
        "jobs.view_work",
        frozenset({"calendar", "people", "laying"}),
    ),
    Place("Prices", ("pricebook:list",), "jobs.manage_prices", frozenset({"pricebook"})),
    Place(
        "Costing",
        ("costing:list", "billing:list"),
        ("jobs.see_costing", "jobs.see_billing"),
        frozenset({"costing", "billing", "subcontract"}),
        {"costing:list": "jobs.see_costing", "billing:list": "jobs.see_billing"},
    ),
    Place(
        "Team",
        ("accounts:members", "accounts:list"),
        "jobs.manage_team",
        frozenset({"accounts", "audit", "outbox"}),
    ),
)


def first_url(names: tuple[str, ...]) -> str:
    """Return the address of the first name that there is, or ''."""
    for name in names:
        try:
            return reverse(name)
        except NoReverseMatch:
            continue
    return ""


def nav_for(user: Any, room: str) -> list[NavItem]:
    """Return the words that `user` may follow, the one that holds `room` marked."""
    items = []
    for place in PLACES:
        url = place.url_for(user)
        if url:
            items.append(NavItem(place.label, url, room in place.rooms))
    return items


def navigation(request: HttpRequest) -> dict[str, Any]:
    """Give every page the firm's name and, to people who are logged in, the words of the head."""
    context: dict[str, Any] = {"firm_name": settings.FIRM_NAME}
    user = getattr(request, "user", None)
    if user is None or not user.is_authenticated:
        return context
    match = request.resolver_match
    room = match.namespaces[0] if match and match.namespaces else ""
    return context | {
        "nav_items": nav_for(user, room),
        "who": str(user),
        "account_url": first_url(("account_change_password",)),
        "logout_url": first_url(("account_logout",)),
        "now": getattr(request, "now", None),
    }
