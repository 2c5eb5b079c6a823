"""auditbooks [--json]: re-add receipts, invoices, credit notes, numbers, deductions and costs."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.core.management.base import CommandParser

from jobs.billing.queries import audit_books
from jobs.kernel.commands import FirmCommand
from jobs.subcontract.queries import audit_subcontract


class Command(FirmCommand):
    help = "Re-adds every receipt, invoice and number given. Exits 1 where a figure differs."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--json", action="store_true", help="print one JSON document")

    def handle(self, *args: Any, **options: Any) -> None:
        books = audit_books()
        books = replace(books, differences=(*books.differences, *audit_subcontract()))
        if options["json"]:
            self.print_json(
                {
                    "ok": books.ok,
                    "requests": books.requests,
                    "receipts": books.receipts,
                    "invoices": books.invoices,
                    "cost_entries": books.cost_entries,
                    "differences": [
                        {"what": row.what, "kept": row.kept, "found": row.found}
                        for row in books.differences
                    ],
                }
            )
        else:
            self.stdout.write(
                f"{books.requests} requests, {books.receipts} receipts, {books.invoices} invoices "
                f"and {books.cost_entries} cost entries re-added."
            )
            for row in books.differences:
                self.stdout.write(f"{row.what}: the book says {row.kept}; found {row.found}.")
            if books.ok:
                self.stdout.write("Everything agrees.")
        if not books.ok:
            self.found_wrong()
