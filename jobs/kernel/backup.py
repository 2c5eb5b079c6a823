"""One file that holds the firm: every row and every kept file, each with its hash.

The file is a plain zip: `manifest.json` names every member with its SHA-256 and row count and is
itself sealed by the last line of `seal.txt`; `rows/TABLE.jsonl` has a row a line in Django's own
serialisation, so that a backup made on SQLite can be restored on PostgreSQL and the other way.
"""

from __future__ import annotations

import hashlib
import json
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path
from typing import Any, BinaryIO

from django.apps import apps
from django.conf import settings
from django.core import serializers
from django.core.management.color import no_style
from django.core.serializers.base import DeserializationError
from django.db import connection, models, transaction
from django.db.migrations.recorder import MigrationRecorder

from jobs.kernel.appendonly import install_triggers, remove_triggers
from jobs.kernel.errors import ServiceError

FORMAT = "resinwright-backup-1"
BATCH = 500
# Log-ins in progress and tries to log in belong to the machine, not to the firm.
LEFT_OUT = {"sessions.session", "axes.accessattempt", "axes.accesslog", "axes.accessfailurelog",
            "axes.accessattemptexpiration"}  # fmt: skip


class UnusableBackupError(ServiceError):
    """The file is cut, was changed, or is not a backup of this program and version."""


@dataclass(frozen=True)
class Summary:
    """What went into a backup or came out of it."""

    tables: int
    rows: int
    files: int


def backed_up_models() -> list[type[models.Model]]:
    """Return every model with a table of its own, also those behind many-to-many fields."""
    every = apps.get_models(include_auto_created=True)
    return [
        model
        for model in every
        if model._meta.managed and not model._meta.proxy and model._meta.label_lower not in LEFT_OUT
    ]


def applied_migrations() -> list[str]:
    """Return the migrations that the database has had, in order of app and name."""
    return sorted(
        f"{app}.{name}" for app, name in MigrationRecorder(connection).applied_migrations()
    )


# -- writing -----------------------------------------------------------------------------------


def write_backup(target: Path, *, at: datetime) -> Summary:
    """Write a backup to `target`, whole or not at all; an existing file is refused."""
    if target.exists():
        raise ServiceError(f"{target} exists already; give another name.")
    if not target.parent.is_dir():
        raise ServiceError(f"There is no folder {target.parent}.")
    part = target.with_name(f".{target.name}.part")
    try:
        with part.open("xb") as file:
            part.chmod(0o600)
            summary = _write(file, at)
        part.rename(target)
    except FileExistsError as error:
        raise ServiceError(f"{part} is in the way: another backup is being written.") from error
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return summary


def _write(file: BinaryIO, at: datetime) -> Summary:
    members: dict[str, dict[str, Any]] = {}
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive, transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                # One moment for all tables, whatever is written meanwhile.
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
        for model in backed_up_models():
            name = f"rows/{model._meta.label_lower}.jsonl"
            members[name] = _write_rows(archive, name, model)
        for path in _media_files():
            data = path.read_bytes()
            name = f"media/{path.name}"
            archive.writestr(name, data)
            members[name] = {"sha256": hashlib.sha256(data).hexdigest()}
        manifest = json.dumps(
            {
                "format": FORMAT,
                "at": at.isoformat(),
                "migrations": applied_migrations(),
                "members": members,
            },
            indent=1,
            sort_keys=True,
        )
        archive.writestr("manifest.json", manifest)
        archive.writestr("seal.txt", hashlib.sha256(manifest.encode()).hexdigest())
    rows = sum(member.get("rows", 0) for member in members.values())
    tables = sum("rows" in member for member in members.values())
    return Summary(tables, rows, len(members) - tables)


def _write_rows(archive: zipfile.ZipFile, name: str, model: type[models.Model]) -> dict[str, Any]:
    digest, count = hashlib.sha256(), 0
    rows = model._base_manager.order_by("pk").iterator(chunk_size=BATCH)  # noqa: SLF001
    with archive.open(name, "w", force_zip64=True) as member:
        while batch := list(islice(rows, BATCH)):
            text = serializers.serialize("jsonl", batch).encode()
            member.write(text)
            digest.update(text)
            count += len(batch)
    return {"sha256": digest.hexdigest(), "rows": count}


def _media_files() -> Iterator[Path]:
    root = Path(settings.MEDIA_ROOT)
    return iter(sorted(path for path in root.glob("??/*") if len(path.name) == 64))


# -- reading -----------------------------------------------------------------------------------


def verify_file(source: Path) -> None:
    """Read all of `source` and compare it with its hashes; needs no database.

    Raises UnusableBackupError for a cut, changed or foreign file.
    """
    try:
        with zipfile.ZipFile(source) as archive:
            _verified(archive)
    except (OSError, zipfile.BadZipFile, EOFError, zipfile.LargeZipFile) as error:
        raise UnusableBackupError(f"{source} cannot be read as a backup: {error}.") from error


def restore_backup(source: Path) -> Summary:
    """Verify all of `source`, then put it in the place of everything the database holds.

    Raises UnusableBackupError, and changes nothing, when any part of it is not as it was written.
    """
    try:
        with zipfile.ZipFile(source) as archive:
            manifest = _verified(archive)
            _refuse_other_version(manifest)
            return _load(archive, manifest)
    except (OSError, zipfile.BadZipFile, EOFError, zipfile.LargeZipFile) as error:
        raise UnusableBackupError(f"{source} cannot be read as a backup: {error}.") from error


def _verified(archive: zipfile.ZipFile) -> dict[str, Any]:
    foreign = UnusableBackupError("This file is not a backup of Resinwright.")
    try:
        text = archive.read("manifest.json")
        seal = archive.read("seal.txt").decode()
        manifest = json.loads(text)
        members = manifest["members"]
        known = manifest["format"] == FORMAT
    except (KeyError, ValueError, TypeError) as error:
        raise foreign from error
    if not known:
        raise foreign
    if hashlib.sha256(text).hexdigest() != seal:
        raise UnusableBackupError("The backup's list of contents was changed.")
    if set(archive.namelist()) != {"manifest.json", "seal.txt", *members}:
        raise UnusableBackupError("The backup has lost or gained files since it was written.")
    for name, member in members.items():
        digest = hashlib.sha256()
        with archive.open(name) as file:
            while chunk := file.read(1 << 20):
                digest.update(chunk)
        if digest.hexdigest() != member["sha256"]:
            raise UnusableBackupError(f"{name} in the backup is not as it was written.")
    return dict(manifest)


def _refuse_other_version(manifest: dict[str, Any]) -> None:
    if manifest["migrations"] != applied_migrations():
        raise UnusableBackupError(
            "The backup was made by another version of the program. Install that version, "
            "restore there, then upgrade."
        )
    wanted = {f"rows/{model._meta.label_lower}.jsonl" for model in backed_up_models()}
    if wanted != {name for name in manifest["members"] if name.startswith("rows/")}:
        raise UnusableBackupError("The backup has other tables than this program.")


def _load(archive: zipfile.ZipFile, manifest: dict[str, Any]) -> Summary:
    rows = 0
    every = backed_up_models()
    try:
        with transaction.atomic():
            remove_triggers()
            for model in [*every, *_left_out_models()]:
                # Without collecting: the constraints are deferred, and every table goes.
                model._base_manager.all()._raw_delete(using="default")  # noqa: SLF001
            for model in every:
                rows += _load_rows(archive, model, manifest)
            _reset_sequences(every)
            install_triggers()
            connection.check_constraints()
    except DeserializationError as error:
        raise UnusableBackupError(f"A row of the backup cannot be read: {error}.") from error
    files = 0
    for name in manifest["members"]:
        if name.startswith("media/"):
            files += 1
            _restore_file(name.removeprefix("media/"), archive.read(name))
    return Summary(len(every), rows, files)


def _left_out_models() -> list[type[models.Model]]:
    return [model for model in apps.get_models() if model._meta.label_lower in LEFT_OUT]


def _load_rows(
    archive: zipfile.ZipFile, model: type[models.Model], manifest: dict[str, Any]
) -> int:
    name = f"rows/{model._meta.label_lower}.jsonl"
    count = 0
    with archive.open(name) as member:
        read = (row.object for row in serializers.deserialize("jsonl", member))
        while batch := list(islice(read, BATCH)):
            model._base_manager.bulk_create(batch)  # noqa: SLF001
            count += len(batch)
    if count != manifest["members"][name]["rows"]:
        raise UnusableBackupError(f"{name} has {count} rows, not what its list says.")
    return count


def _reset_sequences(every: list[type[models.Model]]) -> None:
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), every):
            cursor.execute(statement)


def _restore_file(digest: str, data: bytes) -> None:
    if hashlib.sha256(data).hexdigest() != digest:
        return  # its name is its hash; the list was verified, so this cannot be a damaged file
    path = Path(settings.MEDIA_ROOT) / digest[:2] / digest
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        part = path.with_suffix(".part")
        part.write_bytes(data)
        part.rename(path)
