"""What the billing room gives out of a person, and what it must keep."""

from __future__ import annotations

from jobs.billing.queries import records_of
from jobs.billing.services import post_erasure
from jobs.kernel.registries import PersonalDataHandler, register_personal_data

register_personal_data(PersonalDataHandler("billing", records_of, post_erasure))
