"""Only those who may see cost see what stock is worth."""

from __future__ import annotations

from tests.role_rows import Row, only

COST = only("owner", "accountant")
ROWS = [Row(f"valuation:{name}", "GET", COST) for name in ("list", "turns", "dead")]
