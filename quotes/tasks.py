"""Gathers the rooms' tasks; the worker finds them here."""

from quotes.acceptance import tasks as acceptance
from quotes.chasing import tasks as chasing
from quotes.documents import tasks as documents
from quotes.variations import tasks as variations

__all__ = ["acceptance", "chasing", "documents", "variations"]
