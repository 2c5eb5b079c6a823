"""Short names for the registries that pages use; see `registries`."""

from jobs.kernel.registries import TodayEntry, panel, panels_for, today_entry

__all__ = ["TodayEntry", "panel", "panels_for", "today_entry"]
