"""Who may see what jobs need, and who may reserve."""

SEE = "jobs.view_yard"
RESERVE = "jobs.reserve_stock"
