"""Who may see the trail."""

from tests.role_rows import Row, only

ROWS = [Row("audit:list", "GET", only("owner", "accountant"))]
