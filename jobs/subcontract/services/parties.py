"""Subcontractors, and what HMRC said of them."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import post_attachment
from jobs.audit.services import changes, post_event
from jobs.billing.rules import check_vat_number
from jobs.billing.rules.cis import RATES
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.versions import lock_version
from jobs.subcontract.enums import VerifiedBy
from jobs.subcontract.models import Subcontractor, Verification
from jobs.subcontract.rules import check_utr, check_verification

SEE = "jobs.see_billing"


@transaction.atomic(durable=True)
def add_subcontractor(*, by: Any, at: datetime, **values: Any) -> Subcontractor:
    """Add a subcontractor; refuses (ServiceError) references whose check figure does not fit."""
    row = Subcontractor(**_checked(values), made_at=at)
    row.full_clean()
    row.save()
    post_event(verb="add_subcontractor", subject=row, by=by, at=at)
    return row


@transaction.atomic(durable=True)
def change_subcontractor(
    *, subcontractor_id: int, version: int, by: Any, at: datetime, **values: Any
) -> Subcontractor:
    """Change a subcontractor's particulars; what was booked keeps its own."""
    row = lock_version(Subcontractor, subcontractor_id, version)
    values = _checked(values)
    before, after = changes(row, values)
    for name, value in values.items():
        setattr(row, name, value)
    row.full_clean()
    row.version += 1
    row.save(update_fields=[*values, "version"])
    post_event(verb="change_subcontractor", subject=row, by=by, at=at, before=before, after=after)
    return row


def post_evidence(
    row: Subcontractor, kept: CheckedFile | None, caption: str, *, by: Any, at: datetime
) -> UUID | None:
    """Attach a file that shows what was recorded; None where there is none."""
    if kept is None:
        return None
    uid: UUID = post_attachment(
        kept=kept, about=row, permission=SEE, caption=caption, by=by, at=at
    ).uid
    return uid


def _checked(values: dict[str, Any]) -> dict[str, Any]:
    utr, vat = values.get("utr", ""), values.get("vat_number", "").strip()
    return values | {
        "utr": check_utr(utr), "vat_number": check_vat_number(vat) if vat else "",
    }  # fmt: skip


@transaction.atomic(durable=True)
def put_away(*, subcontractor_id: int, by: Any, at: datetime) -> Subcontractor:
    """Put a subcontractor away; refused (ServiceError) while a bill of his is not paid."""
    row: Subcontractor = Subcontractor.objects.select_for_update(no_key=True, of=("self",)).get(
        pk=subcontractor_id
    )
    if row.archived_at is not None:
        return row
    if row.bills.filter(reverses=None).with_state().filter(is_back=False, is_paid=False).exists():
        raise ServiceError(f"{row.name} has a bill that is not paid. Pay it or take it back first.")
    row.archived_at = at
    row.save(update_fields=["archived_at"])
    post_event(verb="archive", subject=row, by=by, at=at)
    return row


@transaction.atomic(durable=True)
def bring_back(*, subcontractor_id: int, by: Any, at: datetime) -> Subcontractor:
    """Take a subcontractor that was put away into use again."""
    row: Subcontractor = Subcontractor.objects.select_for_update(no_key=True, of=("self",)).get(
        pk=subcontractor_id
    )
    if row.archived_at is not None:
        row.archived_at = None
        row.save(update_fields=["archived_at"])
        post_event(verb="restore", subject=row, by=by, at=at)
    return row


@transaction.atomic(durable=True)
def record_verification(
    *, subcontractor_id: int, percent: Decimal, reference: str, verified_on: date, how: str,
    kept: CheckedFile | None = None, note: str = "", key: UUID, by: Any, at: datetime,
) -> Verification:  # fmt: skip
    """Record at which rate HMRC said to deduct; the same key again returns what stands.

    It holds for payments from its day on, until the next one. Refuses (ServiceError) another rate
    than 20, 30 or 0 %, a number of another shape, 20 % and 0 % of one without a taxpayer
    reference, and a day that has not come.
    """
    row = Subcontractor.objects.select_for_update(no_key=True, of=("self",)).get(
        pk=subcontractor_id
    )
    done = Verification.objects.filter(key=key).first()
    if done is not None:
        return done
    if percent not in RATES:
        raise ServiceError("The rate of CIS is 20, 30 or 0 %.", field="percent")
    if verified_on > london_day(at):
        raise ServiceError("That day has not come yet.", field="verified_on")
    if percent != 30 and not row.utr:
        raise ServiceError(
            f"{row.name} has no unique taxpayer reference here; HMRC finds nobody without it. "
            "Add it first.",
            field="percent",
        )
    evidence = post_evidence(row, kept, f"verification {reference}", by=by, at=at)
    found = Verification.objects.create(
        subcontractor=row, percent=percent, reference=check_verification(reference),
        verified_on=verified_on, how=VerifiedBy(how), evidence=evidence, note=note[:200], key=key,
        at=at, by=by,
    )  # fmt: skip
    post_event(
        verb="verify_subcontractor", subject=row, by=by, at=at,
        after={"percent": percent, "reference": found.reference, "verified_on": verified_on},
    )  # fmt: skip
    return found
