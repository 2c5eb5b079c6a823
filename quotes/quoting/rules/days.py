"""How long a job takes on site: hours of labour, people, and the pace at which the crew lays."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from quotes.engine.errors import EngineError
from quotes.engine.pace import Crew, pace
from quotes.takeoff.rules import TakeOff, two_places

# Times of a mix in seconds, and hours of laying in a day: common practice, no source. The page of
# the take-off asks for the crew's own.
LOADING, BARROW_RUN, BARROW_RUNS, BARROWS, TROWELLING = 120.0, 90.0, 2, 2, 900.0
LAYING_HOURS = 6.0
NEAR = Decimal("1e-9")


@dataclass(frozen=True)
class DaysOnSite:
    """Days of the crew: all but the laying, the laying, and whole days of both together.

    by_pace: the pace of the crew sets the laying, and not its hours.
    """

    before: Decimal
    laying: Decimal
    by_pace: bool

    @property
    def days(self) -> int:
        """Whole days; a begun day counts."""
        return math.ceil(self.before + self.laying - NEAR)


def days_on_site(
    *,
    hours: Decimal,
    laying_hours: Decimal,
    area_m2: Decimal,
    crew: int,
    day_hours: Decimal,
    pace_m2: Decimal | None,
) -> DaysOnSite:
    """Return the days that `hours` of other labour and the laying take a crew.

    pace_m2: what the crew lays in a day at most, None where that is not known.
    """
    a_day = crew * day_hours
    by_hours = laying_hours / a_day
    by_pace = area_m2 / pace_m2 if pace_m2 else Decimal(0)
    return DaysOnSite(hours / a_day, max(by_hours, by_pace), by_pace > by_hours)


def pace_a_day(found: TakeOff, crew: int, mixers: int) -> Decimal | None:
    """Return the m² that a crew lays in a day at most, as its mixers and hands set it.

    None without a take-off, or where a day is too short for a mix.
    """
    if found.worked is None:
        return None
    sheet = found.worked.found
    mixing = float(max((card.mix_seconds for card in found.cards.values()), default=120))
    people = Crew(
        max(mixers, 1), mixing, LOADING, BARROWS, BARROW_RUN, BARROW_RUNS, max(crew, 1), TROWELLING
    )
    try:
        laid = pace(people, sheet.area_m2 / sheet.mixes_exact, sheet.area_m2, LAYING_HOURS * 3600)
    except EngineError:
        return None
    return two_places(laid.area_a_day)
