"""Everybody with a role lands on today."""

from tests.role_rows import Row, everybody

ROWS = [Row("today:today", "GET", everybody())]
