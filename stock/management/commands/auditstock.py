"""auditstock [--json]: re-add the stock from its movements and name every difference."""

from __future__ import annotations

from typing import Any

from django.core.management.base import CommandParser

from jobs.kernel.commands import FirmCommand
from stock.movements.queries import audit_stock


class Command(FirmCommand):
    help = "Re-adds every lot, balance, reservation and cost. Exits 1 where a figure differs."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", action="store_true", help="print one JSON document")

    def handle(self, *args: Any, **options: Any) -> None:
        audit = audit_stock()
        if options["json"]:
            self.print_json(
                {
                    "ok": audit.ok,
                    "lots": audit.lots,
                    "movements": audit.movements,
                    "differences": [
                        {"what": row.what, "kept": row.kept, "found": row.found}
                        for row in audit.differences
                    ],
                }
            )
        else:
            self.stdout.write(f"{audit.lots} lots and {audit.movements} movements re-added.")
            for row in audit.differences:
                self.stdout.write(
                    f"{row.what}: the book says {row.kept}, it adds up to {row.found}."
                )
            if audit.ok:
                self.stdout.write("Everything agrees.")
        if not audit.ok:
            self.found_wrong()
