"""Reads of sites for other pages."""

from __future__ import annotations

from typing import Any

from jobs.sites.models import Site
from jobs.sites.rules import QUESTIONS


def answers_of(site: Site) -> list[tuple[str, str]]:
    """Return each question with its answer in words, in the order in which they are asked."""
    return [
        (str(Site._meta.get_field(name).verbose_name).capitalize(),  # type: ignore[union-attr]
         getattr(site, f"get_{name}_display")())
        for name in QUESTIONS
    ]  # fmt: skip


def site_records(customer_id: int) -> dict[str, Any]:
    """Return what this room knows of a customer's sites, as plain values."""
    names = ("name", "address", "postcode", *QUESTIONS, "notes", "created_at")
    rows = Site.objects.filter(customer_id=customer_id).order_by("pk")
    return {"sites": [{name: getattr(site, name) for name in names} for site in rows]}
