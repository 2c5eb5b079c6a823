"""Writes that are safe to repeat, and the guard that they happen inside a transaction."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from django.db import transaction

from jobs.kernel.errors import ServiceError
from jobs.kernel.models import PostingKey


class KeyUsedError(ServiceError):
    """The same key came with other inputs: somebody changed the form after sending it."""


def assert_in_transaction() -> None:
    """Raise RuntimeError outside a transaction: a `post_*` service never stands alone."""
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError(
            "This service writes part of a larger posting; call it in a transaction."
        )


def digest_of(inputs: Mapping[str, object]) -> str:
    """Return the hash of a write's inputs; the order of the names does not matter."""
    text = json.dumps(inputs, sort_keys=True, default=str, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def claim_key(
    *, key: UUID, kind: str, inputs: Mapping[str, object], at: datetime
) -> PostingKey | None:
    """Claim `key` for a write of this kind, or return the row of the write that was done with it.

    None means: go on and write, then `finish_key`. A second transaction with the same key waits for
    the first on the unique index. Raises KeyUsedError if the key was used with other inputs.
    """
    assert_in_transaction()
    digest = digest_of(inputs)
    row, made = PostingKey.objects.get_or_create(
        key=key, defaults={"kind": kind, "digest": digest, "at": at}
    )
    if made:
        return None
    if row.kind != kind or row.digest != digest:
        raise KeyUsedError(
            "This page was sent before with other figures. Open it again and check what was booked."
        )
    return row


def finish_key(*, key: UUID, result: int) -> None:
    """Note what the claimed key wrote, so that a repeat can answer with it."""
    PostingKey.objects.filter(key=key).update(result=result)
