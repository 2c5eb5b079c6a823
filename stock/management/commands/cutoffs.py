"""Say what is short, the last moment to order it on each channel, and what was missed."""

from __future__ import annotations

from argparse import ArgumentParser
from datetime import datetime
from typing import Any

from jobs.kernel.commands import FirmCommand, UnusableInputError, add_at, at_or_now
from stock.ledger.rules import pack_words
from stock.ordering.queries import Reckoned, reckon_shortages
from stock.ordering.rules.words import moment_text, short_title


class Command(FirmCommand):
    """Only reads. Exit 1 when a cut-off was missed: nothing ordered now comes in time."""

    help = "Shortages of won jobs with the last moment to order on each channel."

    def add_arguments(self, parser: ArgumentParser) -> None:
        add_at(parser)
        parser.add_argument("--json", action="store_true", help="print one JSON document")

    def handle(self, *args: Any, **options: Any) -> None:
        at = at_or_now(options)
        if not 2000 <= at.year <= 2200:
            raise UnusableInputError(f"The year {at.year} is too far off to reckon with.")
        rows = reckon_shortages(at)
        missed = [row for row in rows if row.order_by is None or row.order_by < at]
        still = [row for row in rows if row not in missed]
        if options["json"]:
            self.print_json(
                {
                    "at": at,
                    "missed": [as_json(row) for row in missed],
                    "open": [as_json(row) for row in still],
                }
            )
        else:
            self.say("Missed", missed, at)
            self.say("Open", still, at)
        if missed:
            self.found_wrong()

    def say(self, title: str, rows: list[Reckoned], at: datetime) -> None:
        self.stdout.write(f"{title}: {len(rows) or 'none'}")
        for row in rows:
            item = row.item
            packs = pack_words(row.packs * item.pack_quantity, item.pack_quantity, item.pack_name)
            title = short_title(packs, item.name, one_run=item.run_matched)
            self.stdout.write(f"  {title}. {row.job.reference}, {row.why}")
            for moment in row.moments:
                when = moment_text(moment.order_by, at) if moment.order_by else "never in time"
                channel = moment.offer.channel
                self.stdout.write(f"    {channel.get_kind_display()} {channel.supplier}: {when}")


def as_json(row: Reckoned) -> dict[str, object]:
    """Return one shortage as the document has it."""
    return {
        "job": row.job.reference,
        "item": row.item.code,
        "name": row.item.name,
        "colour_group": row.short.need.colour_group or None,
        "phase": row.short.need.phase,
        "quantity": row.short.quantity,
        "base_unit": row.item.base_unit,
        "packs": row.packs,
        "one_run": row.item.run_matched,
        "needed_on": row.short.need.needed_on,
        "booked": row.booked,
        "order_by": row.order_by,
        "channels": [moment.as_json() for moment in row.moments],
        "why": row.why,
    }
