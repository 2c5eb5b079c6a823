"""Say what to reorder on a day, and what can no longer be met."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from jobs.kernel.clock import london_day, now
from jobs.kernel.commands import FirmCommand, UnusableInputError, add_day
from stock.ordering.rules.words import moment_text
from stock.reorder.queries import moment_for, reckon


class Command(FirmCommand):
    """Only reads. Exit 1 when something that a job lacks cannot be met."""

    help = "What to reorder: for jobs what they lack, for the yard what will fall below its least."

    def add_arguments(self, parser: ArgumentParser) -> None:
        add_day(parser, "--on")
        parser.add_argument("--json", action="store_true", help="print one JSON document")

    def handle(self, *args: Any, **options: Any) -> None:
        present = now()
        on = options["on"] or london_day(present)
        if not 2000 <= on.year <= 2200:
            raise UnusableInputError(f"The year {on.year} is too far off to reckon with.")
        at = moment_for(on, present)
        rows = reckon(at)
        suggestions = [row for row in rows if row.offer is not None]
        stuck = [row for row in rows if row.offer is None]
        if options["json"]:
            self.print_json(
                {
                    "on": on,
                    "suggestions": [row.as_json() for row in suggestions],
                    "cannot_be_met": [row.as_json() for row in stuck],
                }
            )
        else:
            self.stdout.write(f"To order on {on:%d %b %Y}: {len(suggestions) or 'nothing'}")
            for row in suggestions:
                if row.offer is None:
                    continue
                when = f" by {moment_text(row.order_by, at)}" if row.order_by else ""
                self.stdout.write(f"  {row.packs_text} of {row.item}, {row.offer.channel}{when}")
                self.stdout.write(f"    {row.why}")
            self.stdout.write(f"Cannot be met: {len(stuck) or 'none'}")
            for row in stuck:
                self.stdout.write(f"  {row.packs_text} of {row.item}: {row.why}")
        if stuck:
            self.found_wrong()
