"""What the sites' room gives out and erases of a person."""

from __future__ import annotations

from jobs.kernel.registries import PersonalDataHandler, register_personal_data
from jobs.sites.queries import site_records
from jobs.sites.services import post_erasure

register_personal_data(PersonalDataHandler("sites", site_records, post_erasure))
