"""What the surveys' room gives out and erases of a person."""

from __future__ import annotations

from jobs.kernel.registries import PersonalDataHandler, register_personal_data
from jobs.surveys.queries import survey_records
from jobs.surveys.services import post_erasure

register_personal_data(PersonalDataHandler("surveys", survey_records, post_erasure))
