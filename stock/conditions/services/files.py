"""A logger's file: looked at first, then taken whole or without its bad rows, once."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.errors import ServiceError
from stock.conditions.enums import FileState, Source
from stock.conditions.models import Reading, ReadingFile
from stock.conditions.rules.logfile import LogFileError, read_log
from stock.conditions.services.readings import NewReading, lock_watch, post_readings

MOST_BYTES = 5 * 1024 * 1024
MOST_BAD_SHOWN = 500
FORGET_AFTER = timedelta(days=7)


def look_at_file(
    *, place_id: int, name: str, data: bytes, unit: str, key: UUID, by: Any, at: datetime
) -> ReadingFile:
    """Read a file and keep what it holds until somebody says yes; no reading is made yet."""
    if len(data) > MOST_BYTES:
        raise ServiceError("The file has more than 5 MB; part it.", field="file")
    try:
        log = read_log(data, unit=unit, now=at)
    except LogFileError as refusal:
        raise ServiceError(str(refusal), field="file") from refusal
    rows = [
        [row.at.isoformat(), str(row.celsius), None if row.humidity is None else str(row.humidity)]
        for row in log.rows
    ]
    bad = [[line, sentence] for line, sentence in log.bad]
    return keep_file_row(
        place_id=place_id, name=name, rows=rows, bad=bad, repeats=log.repeats, key=key, by=by, at=at
    )


@transaction.atomic(durable=True)
def keep_file_row(
    *, place_id: int, name: str, rows: list[Any], bad: list[Any], repeats: int, key: UUID, by: Any,
    at: datetime,
) -> ReadingFile:  # fmt: skip
    """Keep what was read of a file; the same key again returns the row that stands."""
    found, _ = ReadingFile.objects.get_or_create(
        key=key,
        defaults={
            "place_id": place_id, "name": name[:120] or "file", "rows": rows, "bad": bad,
            "repeats": repeats, "looked_at": at, "by": by,
        },
    )  # fmt: skip
    return found


def readings_of(file: ReadingFile) -> list[NewReading]:
    """Return the good rows of a file that was looked at."""
    return [
        NewReading(
            datetime.fromisoformat(when), Decimal(celsius),
            None if humidity is None else Decimal(humidity),
        )
        for when, celsius, humidity in file.rows
    ]  # fmt: skip


@transaction.atomic(durable=True)
def take_file(*, file_id: int, whole: bool, by: Any, at: datetime) -> ReadingFile:
    """Keep the readings of a file; taken twice, it is taken once.

    `whole` refuses a file with any bad row or any reading that contradicts one that is there;
    otherwise these are kept out and named.
    """
    file = ReadingFile.objects.select_for_update(no_key=True).get(pk=file_id)
    if file.state == FileState.TAKEN:
        return file
    if file.state == FileState.DROPPED:
        raise ServiceError("This file was dropped. Bring it again.")
    if whole and file.bad:
        raise ServiceError(
            f"{len(file.bad)} of its rows cannot be used, so the file is not taken whole. "
            "Take the good rows, or mend the file."
        )
    watch = lock_watch(file.place_id)
    kept = post_readings(
        watch=watch, rows=readings_of(file), source=Source.FILE, by=by, at=at
    )  # fmt: skip
    if whole and kept.clashes:
        raise ServiceError(
            f"{len(kept.clashes)} of its readings contradict readings that are there, so the file "
            "is not taken whole. Take the good rows, which leaves those out."
        )
    file.bad = [*file.bad, *([None, clash_words(row)] for row in kept.clashes)]
    file.state, file.taken_at, file.rows = FileState.TAKEN, at, []
    file.new, file.known = kept.new, kept.known
    file.save()
    post_event(
        verb="conditions.take_file", subject=file, by=by, at=at,
        after={"new": kept.new, "known": kept.known, "kept_out": len(file.bad)},
    )  # fmt: skip
    return file


def clash_words(row: NewReading) -> str:
    """Return the sentence for a reading that contradicts one that is there."""
    return f"{row.celsius} °C at {row.at:%Y-%m-%d %H:%M} UTC: another figure is there already."


def clashes_of(file: ReadingFile) -> tuple[int, int]:
    """Return (known, clashing) of a file's good rows as things stand: one query."""
    rows = readings_of(file)
    if not rows:
        return 0, 0
    instants = [row.at for row in rows]
    there = {
        at: (celsius, humidity)
        for at, celsius, humidity in Reading.objects.filter(
            place_id=file.place_id, at__gte=min(instants), at__lte=max(instants)
        ).values_list("at", "celsius", "humidity")
    }
    same = [there[row.at] == (row.celsius, row.humidity) for row in rows if row.at in there]
    return same.count(True), same.count(False)


@transaction.atomic(durable=True)
def drop_file(*, file_id: int, by: Any, at: datetime) -> ReadingFile:
    """Forget a file that was looked at and not taken."""
    file = ReadingFile.objects.select_for_update(no_key=True).get(pk=file_id)
    if file.state == FileState.LOOKED_AT:
        file.state, file.rows = FileState.DROPPED, []
        file.save(update_fields=["state", "rows"])
        post_event(verb="conditions.drop_file", subject=file, by=by, at=at)
    return file


@transaction.atomic(durable=True)
def forget_old_files(*, at: datetime) -> int:
    """Empty files that nobody has answered for a week; returns how many."""
    return ReadingFile.objects.filter(
        state=FileState.LOOKED_AT, looked_at__lt=at - FORGET_AFTER
    ).update(state=FileState.DROPPED, rows=[])
