"""`manage.py backup FILE`: the database and the kept files in one hashed file."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from jobs.kernel.backup import write_backup
from jobs.kernel.clock import now
from jobs.kernel.commands import FirmCommand


class Command(FirmCommand):
    help = (
        "Writes the database and the kept files into one hashed file; an existing one is refused."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        done = write_backup(options["file"], at=now())
        self.stdout.write(
            f"{options['file']}: {done.rows} rows of {done.tables} tables, {done.files} files."
        )
