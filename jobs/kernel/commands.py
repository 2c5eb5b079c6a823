"""The base of every command: parse, call a service, print, exit; bad input exits 2."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from jobs.kernel.clock import now, read_instant
from jobs.kernel.errors import ServiceError


class UnusableInputError(CommandError):
    """What was given cannot be used; the command says so in one sentence and exits 2."""

    def __init__(self, message: str) -> None:
        super().__init__(message, returncode=2)


class FirmCommand(BaseCommand):
    """A command of the firm: exit 0 when all is well, 1 on something wrong, 2 on bad input."""

    requires_system_checks: list[str] = []

    def execute(self, *args: Any, **options: Any) -> str | None:
        try:
            return super().execute(*args, **options)
        except ServiceError as error:
            raise UnusableInputError(error.message) from error

    def create_parser(self, prog_name: str, subcommand: str, **kwargs: Any) -> CommandParser:
        return super().create_parser(prog_name, subcommand, **kwargs)

    def print_json(self, answer: object) -> None:
        """Print one JSON document and nothing else."""
        self.stdout.write(json.dumps(answer, default=as_json, ensure_ascii=False, indent=2))

    def found_wrong(self) -> None:
        """Exit 1: the work ran and found something that a person must look at."""
        self.stdout.flush()
        sys.exit(1)


def as_json(value: object) -> str:
    """Money as text with its pence, times ISO 8601 with offset, days ISO 8601."""
    if isinstance(value, Decimal):
        return f"{value:.2f}"
    if isinstance(value, datetime | date):
        return value.isoformat()
    return str(value)


def _argument(reader: Callable[[str], Any], kind: str) -> Callable[[str], Any]:
    def read(text: str) -> Any:
        try:
            return reader(text)
        except ValueError as error:
            raise UnusableInputError(f"'{text}' is not {kind}.") from error

    return read


def add_at(parser: ArgumentParser) -> None:
    """Add --at: the instant to answer for, now by default."""
    kind = "a time; write it like 2026-05-14T11:45 (London's unless it has an offset)"
    parser.add_argument("--at", type=_argument(read_instant, kind), default=None)


def add_day(parser: ArgumentParser, name: str) -> None:
    """Add an option for a day, read as ISO 8601."""
    kind = "a day; write it like 2026-05-14"
    parser.add_argument(name, type=_argument(date.fromisoformat, kind), default=None)


def at_or_now(options: dict[str, Any]) -> datetime:
    """Return what --at said, or the present."""
    return options.get("at") or now()
