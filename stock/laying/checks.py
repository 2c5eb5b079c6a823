"""What messages to customers may say of a surface: the times on the records of the job's kits."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from jobs.kernel.registries import SurfaceTimes, message_facts
from stock.laying.queries.blends import kits_required


@message_facts
def kit_times(job: Any) -> Iterable[SurfaceTimes]:
    """Yield each kit that the job requires for laying with its printed times: one query."""
    for item in kits_required(job.pk):
        yield SurfaceTimes(item.name, item.foot_min_20c, item.vehicle_min_20c)
