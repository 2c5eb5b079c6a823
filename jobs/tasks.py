"""Gathers the rooms' tasks; the worker finds them here."""

from jobs.attachments import tasks as attachments
from jobs.outbox import tasks as outbox

__all__ = ["attachments", "outbox"]
