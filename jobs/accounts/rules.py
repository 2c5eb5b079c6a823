"""Roles and what each may do. One person may hold several roles; the verbs then add up."""

from __future__ import annotations

VERBS: dict[str, str] = {
    "view_work": "see customers, sites and jobs",
    "manage_customers": "add and change customers and sites",
    "manage_jobs": "open jobs and move them on",
    "record_survey": "record surveys and measurements",
    "view_takeoff": "see take-offs and their workings",
    "write_quote": "write quotes",
    "send_quote": "send quotes",
    "see_margin": "see cost, overhead and margin",
    "manage_prices": "change the price book",
    "record_acceptance": "record an acceptance on paper",
    "see_billing": "see requests for payment and invoices",
    "record_payment": "record money received",
    "view_yard": "see the yard's stock",
    "move_stock": "move, pick, issue and return stock",
    "release_lot": "release or hold a lot",
    "approve_count": "approve a stock count",
    "manage_catalogue": "change items and blends",
    "manage_suppliers": "change suppliers, their cut-offs and prices",
    "place_order": "draft and place orders",
    "receive_goods": "receive goods",
    "reserve_stock": "reserve stock for jobs",
    "book_crews": "book crews and plant",
    "override_check": "override a booking check",
    "manage_people": "change people, crews and leave",
    "log_lay_day": "keep the day sheet and log mixes",
    "enter_hours": "enter hours",
    "see_costing": "see job costing",
    "export_costing": "export job costing",
    "manage_team": "invite people and give roles",
    "view_audit": "see who did what",
    "handle_personal_data": "give out and erase personal data",
    "see_messages": "see messages sent and failed, and send them again",
}

ROLES: dict[str, tuple[str, ...]] = {
    "owner": tuple(VERBS),
    "office": (
        "view_work", "manage_customers", "manage_jobs", "record_survey", "view_takeoff",
        "write_quote", "record_acceptance", "see_billing", "record_payment", "view_yard",
        "place_order", "book_crews", "manage_people", "enter_hours", "see_messages",
    ),
    "storeman": (
        "view_work", "view_takeoff", "view_yard", "move_stock", "release_lot", "approve_count",
        "manage_catalogue", "manage_suppliers", "place_order", "receive_goods", "reserve_stock",
    ),
    "accountant": (
        "view_work", "see_margin", "see_billing", "record_payment", "view_yard", "manage_prices",
        "enter_hours", "see_costing", "export_costing", "view_audit",
    ),
    "crew": ("view_work", "view_yard", "log_lay_day", "enter_hours"),
}  # fmt: skip

ROLE_NAMES: dict[str, str] = {
    "owner": "Owner",
    "office": "Office",
    "storeman": "Storeman",
    "accountant": "Accountant",
    "crew": "Crew lead",
}
