"""The landing page: what needs doing today, why, and by when; one page whatever roles one holds."""

from __future__ import annotations

from typing import Any

from jobs.kernel.clock import london_day
from jobs.kernel.panels import drawn_panels
from jobs.kernel.views import RoomPage
from jobs.today.queries import entries_for, split_by_day


class Today(RoomPage):
    permission = "jobs.view_work"
    template_name = "jobs/today/today.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        at = self.request.now
        day = london_day(at)
        entries, later = split_by_day(entries_for(self.request.user, at), at)
        return super().get_context_data(
            title=f"{day:%A %-d %B}",
            week=day.isocalendar().week,
            entries=entries,
            later=later,
            panels=drawn_panels(self.request, "today", day),
            **kwargs,
        )
