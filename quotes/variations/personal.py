"""What variations give out of a person, and what they must keep."""

from __future__ import annotations

from jobs.kernel.registries import PersonalDataHandler, register_personal_data
from quotes.variations.queries import kept_of, records_of

register_personal_data(PersonalDataHandler("variations", records_of, kept_of))
