"""The files that costing offers, registered with the kernel."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from jobs.costing.documents import rows_of
from jobs.costing.forms import PeriodForm
from jobs.costing.queries import job_costs, jobs_with_costs, totals_of
from jobs.kernel.registries import Export, register_export
from jobs.work.models import Job


def costing_rows(params: Mapping[str, str]) -> tuple[Sequence[str], Iterable[Sequence[object]]]:
    """Return head and rows for the job and the days that `params` name; all by default.

    Days that cannot be used give no rows: the page says at the field what is wrong with them.
    """
    form = PeriodForm(params)
    reference = params.get("job", "")
    jobs = list(Job.objects.filter(reference=reference)) if reference else jobs_with_costs()
    costs = job_costs(jobs, **form.cleaned_data) if form.is_valid() else []
    head, *rows = rows_of(costs, totals_of(costs))
    return head, rows


COSTING = register_export(
    Export(code="costing", title="Job costing", permission="jobs.export_costing", rows=costing_rows)
)
