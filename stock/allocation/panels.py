"""Material on the pages of a job and a lot, and what the storeman must look at today."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.panels import TodayEntry, panel, today_entry
from jobs.work.enums import Stage
from stock.allocation import queries
from stock.allocation.models import Reservation
from stock.ledger.rules import pack_words


@panel("job", 60, "jobs.view_yard")
def job_materials(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """What a job needs, what is reserved and what is short, by colour group."""
    if job.stage not in Stage.AFTER_WON:
        return None
    needs = queries.job_needs(job.pk)
    if not needs:
        return None
    return "stock/allocation/job_panel.html", {"job": job, **needs_context(needs)}


def needs_context(needs: list[queries.OpenNeed]) -> dict[str, Any]:
    """Return the lines of a job's needs, written in packs, by colour group."""
    lines = [
        (
            need, in_packs(need, need.quantity), in_packs(need, need.issued),
            in_packs(need, need.reserved), in_packs(need, need.short) if need.short else "",
        )
        for need in needs
    ]  # fmt: skip
    return {
        "lines": lines,
        "short": any(need.short for need in needs),
        "reserved": any(need.reserved for need in needs),
        "at_site": any(need.issued for need in needs),
    }


def in_packs(need: queries.OpenNeed, quantity: int) -> str:
    """Write a quantity of a need in its item's packs."""
    return pack_words(quantity, need.item.pack_quantity, need.item.pack_name)


@panel("lot", 10, "jobs.view_yard")
def lot_reservations(request: HttpRequest, lot: Any) -> tuple[str, dict[str, Any]] | None:
    """Which jobs a lot is kept for."""
    rows = Reservation.objects.of_lot(lot).order_by("pk")
    kept = [
        (row, pack_words(row.quantity, lot.item.pack_quantity, lot.item.pack_name)) for row in rows
    ]
    return ("stock/allocation/lot_panel.html", {"lot": lot, "kept": kept}) if kept else None


@today_entry("jobs.move_stock")
def kits_that_die(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """One line for what will be past its date before a job uses it."""
    found = queries.dying(london_day(now))
    if not found:
        return []
    named = [
        f"{pack_words(row.quantity, row.lot.item.pack_quantity, row.lot.item.pack_name)} of "
        f"{row.lot.code} {'were' if row.days < 0 else 'are'} to be used by {row.lot.expiry:%d %b}"
        for row in found[:3]
    ]
    return [
        TodayEntry(
            at=None, title="Will be past its date before a job uses it",
            why=f"{'; '.join(named)}{'; and more' if len(found) > 3 else ''}.",
            url=reverse("movements:dying"), button="Use it elsewhere", level="look",
        )
    ]  # fmt: skip
