"""What the jobs' room gives out and erases of a person."""

from __future__ import annotations

from jobs.kernel.registries import PersonalDataHandler, register_personal_data
from jobs.work.queries import job_records
from jobs.work.services import post_erasure

register_personal_data(PersonalDataHandler("work", job_records, post_erasure))
