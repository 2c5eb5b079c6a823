"""The bare sums of a stock audit: what any audit must at least have added up, in plain SQL.

They are written here by hand, and not taken from the audit, so that the audit cannot move its own
measure by asking for other sums. Their rows are fetched.
"""

SUMS = (
    # what came to, and what left, each bay, van and site, by lot
    (
        "SELECT lot_id, to_place_id, SUM(quantity) FROM stock_movement WHERE to_place_id IN "
        "(SELECT id FROM stock_place WHERE kind IN ('bay', 'van', 'site')) GROUP BY 1, 2"
    ),
    (
        "SELECT lot_id, from_place_id, SUM(quantity) FROM stock_movement WHERE from_place_id IN "
        "(SELECT id FROM stock_place WHERE kind IN ('bay', 'van', 'site')) GROUP BY 1, 2"
    ),
    # what is reserved and kept back of each lot
    "SELECT lot_id, SUM(quantity) FROM stock_reservation GROUP BY 1",
    "SELECT lot_id, SUM(quantity) FROM stock_keptback WHERE released_at IS NULL GROUP BY 1",
    # what each job drew of each lot and brought back, with its cost
    (
        "SELECT m.lot_id, p.job_id, p.kind, SUM(m.quantity), SUM(m.cost) FROM stock_movement m "
        "JOIN stock_posting p ON p.id = m.posting_id WHERE p.kind IN ('issue', 'return') "
        "GROUP BY 1, 2, 3"
    ),
    # the cost of each posting, and what its job's entries carry
    (
        "SELECT m.posting_id, SUM(CASE WHEN p.kind = 'issue' THEN m.cost END), "
        "SUM(CASE WHEN p.kind = 'return' THEN m.cost END) FROM stock_movement m "
        "JOIN stock_posting p ON p.id = m.posting_id WHERE p.kind IN ('issue', 'return') GROUP BY 1"
    ),
    "SELECT source_id, SUM(amount) FROM jobs_costentry WHERE source = 'stock.posting' GROUP BY 1",
    # what was issued for each job's requirements
    "SELECT job_id, item_id, SUM(issued) FROM stock_requirement GROUP BY 1, 2",
)
