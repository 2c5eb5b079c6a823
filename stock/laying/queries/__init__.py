"""Reading lay days: what lies at the site, which blends fit, the page of a day, the trace."""

from stock.laying.queries.blends import (
    blend_mass_g,
    engine_kit,
    fitting_blends,
    group_of_area,
    job_blends,
    job_kits,
    wanted_by,
)
from stock.laying.queries.page import DayPage, MixClock, day_page
from stock.laying.queries.remarks import Remark
from stock.laying.queries.sheet import SHEET, DaySheet, cautions_of_work, day_sheet
from stock.laying.queries.stock import (
    MIXED,
    LaidLot,
    LotBalance,
    evening_balance,
    lots_of_job,
    mixes_of_lot,
    site_lots,
)
from stock.laying.queries.who import (
    SEE_ALL,
    booked_days,
    days_in_order,
    is_last_day,
    later_bookings,
    lead_of,
    sees_all,
    visible_days,
)

__all__ = [
    "MIXED", "SEE_ALL", "SHEET", "DayPage", "DaySheet", "LaidLot", "LotBalance", "MixClock",
    "Remark", "blend_mass_g", "booked_days", "cautions_of_work", "day_page", "day_sheet",
    "days_in_order", "engine_kit", "evening_balance", "fitting_blends", "group_of_area",
    "is_last_day", "job_blends", "job_kits", "later_bookings", "lead_of", "lots_of_job",
    "mixes_of_lot", "sees_all", "site_lots", "visible_days", "wanted_by",
]  # fmt: skip
