"""`manage.py costing`: job costing as JSON, CSV or XLSX, with the figures of the pages."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from jobs.costing.documents import as_document, as_file
from jobs.costing.queries import job_costs, jobs_with_costs, totals_of
from jobs.kernel.commands import FirmCommand, UnusableInputError, add_day
from jobs.work.models import Job


class Command(FirmCommand):
    help = "Prints budget, commitments and actual cost of jobs by category. It only reads."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--job", help="a job's reference; all jobs with costs by default")
        add_day(parser, "--from")
        add_day(parser, "--to")
        parser.add_argument("--format", choices=["json", "csv", "xlsx"], default="json")
        parser.add_argument("--output", type=Path, help="write to this file instead of printing")

    def handle(self, *args: Any, **options: Any) -> None:
        first, last = options["from"], options["to"]
        if first and last and last < first:
            raise UnusableInputError("--to is before --from.")
        jobs = self._jobs(options["job"])
        costs = job_costs(jobs, first=first, last=last)
        totals = totals_of(costs)
        if options["format"] == "json":
            self._put((as_document(costs, totals, first=first, last=last) + "\n").encode(), options)
        else:
            self._put(as_file(options["format"], costs, totals)[0], options)

    def _jobs(self, reference: str | None) -> list[Job]:
        if not reference:
            return jobs_with_costs()
        found = list(Job.objects.filter(reference=reference))
        if not found:
            raise UnusableInputError(f"There is no job '{reference}'.")
        return found

    def _put(self, data: bytes, options: dict[str, Any]) -> None:
        target: Path | None = options["output"]
        if target is not None:
            try:
                with target.open("xb") as file:
                    file.write(data)
            except FileExistsError as error:
                raise UnusableInputError(f"{target} exists already; give another name.") from error
            except OSError as error:
                raise UnusableInputError(
                    f"{target} cannot be written: {error.strerror}."
                ) from error
        elif options["format"] == "xlsx":
            if sys.stdout.isatty():
                raise UnusableInputError("A spreadsheet wants --output FILE.")
            sys.stdout.buffer.write(data)
            sys.stdout.buffer.flush()
        else:
            self.stdout.write(data.decode(), ending="")
