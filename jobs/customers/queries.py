"""Reads of customers over several tables."""

from __future__ import annotations

from typing import Any

from jobs.customers.models import Customer


def matching_customers(*, name: str, phone: str, email: str) -> list[Customer]:
    """Return up to five current customers who may be this person, with their sites: two queries."""
    found = Customer.objects.like(name=name, phone=phone, email=email)
    return list(found.prefetch_related("sites").order_by("name", "pk")[:5])


def customer_record(customer_id: int) -> dict[str, Any]:
    """Return all that this room knows of a customer, as plain values for the person to have."""
    customer = Customer.objects.get(pk=customer_id)
    left_out = {"id", "version"}
    values = {
        field.name: field.value_from_object(customer)
        for field in Customer._meta.concrete_fields
        if field.name not in left_out
    }
    contacts = [
        {"name": c.name, "role": c.role, "email": c.email, "phone": c.phone}
        for c in customer.contacts.order_by("pk")
    ]
    return {"customer": values, "contacts": contacts}
