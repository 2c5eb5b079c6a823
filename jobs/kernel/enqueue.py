"""The bell: tell a worker by name, after commit, that a row wants work."""

from __future__ import annotations

import logging
from functools import partial

from celery import current_app
from django.db import transaction
from kombu.exceptions import OperationalError

log = logging.getLogger(__name__)


def enqueue(name: str, *ids: int) -> None:
    """Ring for task `name` with `ids` once the transaction has committed.

    A broker that is down loses nothing: the row stands and the next sweep finds it.
    """
    transaction.on_commit(partial(_send, name, ids))


def _send(name: str, ids: tuple[int, ...]) -> None:
    try:
        current_app.send_task(name, args=ids, retry=False)
    except (OperationalError, OSError):
        log.warning("The broker did not take %s %s; the sweep will find the row.", name, ids)
