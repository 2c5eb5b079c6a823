"""`manage.py restore FILE --yes`: verify a backup, then put it in the place of what is there."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import call_command

from jobs.kernel.backup import restore_backup, verify_file
from jobs.kernel.commands import FirmCommand, UnusableInputError


class Command(FirmCommand):
    help = "Verifies all of a backup, then replaces everything in the database by it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--yes", action="store_true", help="replace what is there")

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["yes"]:
            raise UnusableInputError(
                "This replaces everything in the database. Say so: restore FILE --yes."
            )
        # Before the database is touched at all.
        verify_file(options["file"])
        call_command("migrate", verbosity=0, interactive=False)
        done = restore_backup(options["file"])
        self.stdout.write(f"Restored {done.rows} rows of {done.tables} tables, {done.files} files.")
