"""What this room gives out and erases of a person: all that was written about their jobs."""

from __future__ import annotations

from jobs.kernel.registries import PersonalDataHandler, register_personal_data
from jobs.messages.queries import message_records
from jobs.messages.services import post_erasure

register_personal_data(PersonalDataHandler("messages", message_records, post_erasure))
