"""manage.py takeoff FILE: the take-off of a JSON document, printed as JSON. Needs no database."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any, NoReturn

from jobs.kernel.commands import FirmCommand
from quotes.engine.document import MAX_TEXT, answer_text
from quotes.engine.errors import EngineError

# A character of UTF-8 takes four bytes at most; more than this cannot be a document.
MOST_BYTES = 4 * MAX_TEXT + 4


class Command(FirmCommand):
    """Answer a take-off document; a refusal is one JSON object on standard error and exit 2."""

    help = "Work out a take-off from a JSON document and print the answer as JSON."
    requires_migrations_checks = False

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "file",
            metavar="FILE",
            nargs="?",
            default="",
            help="the document; - reads standard input",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        name: str = options["file"]
        if not name:
            self.refuse(unreadable("FILE", "name a file, or - for standard input"))
        try:
            found = answer_text(self.read(name))
        except EngineError as error:
            self.refuse(error.as_dict())
        self.print_json(found)

    def read(self, name: str) -> str:
        """Return the text of the file, or refuse what cannot be read as one."""
        try:
            if name == "-":
                data = sys.stdin.buffer.read(MOST_BYTES + 1)
            else:
                with Path(name).open("rb") as file:
                    data = file.read(MOST_BYTES + 1)
        except (OSError, ValueError) as error:
            reason = getattr(error, "strerror", None) or str(error)
            self.refuse(unreadable(name, f"the file cannot be read: {reason}"))
        try:
            return data.decode("utf-8-sig")
        except UnicodeDecodeError:
            self.refuse(unreadable(name, "the file is not text in UTF-8"))

    def refuse(self, error: dict[str, str]) -> NoReturn:
        """Print the refusal and nothing else on standard error, and exit 2."""
        sys.stderr.write(json.dumps(error, ensure_ascii=False) + "\n")
        sys.stderr.flush()
        sys.exit(2)


def unreadable(name: str, message: str) -> dict[str, str]:
    """Return the refusal of a file; standard input is called by its sign."""
    return {"error": "unreadable", "where": name, "message": message}
