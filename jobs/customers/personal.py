"""What the customers' room gives out and erases of a person."""

from __future__ import annotations

from jobs.customers.queries import customer_record
from jobs.customers.services import post_erasure
from jobs.kernel.registries import PersonalDataHandler, register_personal_data

register_personal_data(PersonalDataHandler("customers", customer_record, post_erasure))
