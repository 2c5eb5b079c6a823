"""Gathers the rooms' tasks; the worker finds them here."""

from jobs.attachments import tasks as attachments
from jobs.billing import tasks as billing
from jobs.calendar import tasks as calendar
from jobs.outbox import tasks as outbox

__all__ = ["attachments", "billing", "calendar", "outbox"]
