"""What the acceptance of quotes gives out of a person, and what it must keep."""

from __future__ import annotations

from jobs.kernel.registries import PersonalDataHandler, register_personal_data
from quotes.acceptance.queries import kept_of, records_of

register_personal_data(PersonalDataHandler("acceptance", records_of, kept_of))
