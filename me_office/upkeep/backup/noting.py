"""What the office keeps of its backups (made, checked, restored from), each with its event."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from typing import Any

from django.contrib.sessions.models import Session
from django.db import connection, transaction

from me_office.upkeep.backup.taking import Taken
from me_office.upkeep.backup.target import CHECKED, Target, write_whole
from me_office.upkeep.models import Backup, Restoration


@contextmanager
def as_the_office(act: str, reason: str) -> Iterator[None]:
    """Name the act in the trail where an administrator gave a command: one transaction."""
    context = {"act": act, "source": "command", "reason": reason}
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("SELECT set_config('office.audit', %s, true)", [json.dumps(context)])
        yield


def note_taken(target: Target, taken: Taken) -> list[str]:
    """Keep that a backup was made, and which of those before were checked meanwhile.

    Returns the names of those of which that can't be read.
    """
    made = taken.manifest
    with as_the_office("back_up", "Backup of database and files"):
        Backup.objects.create(
            name=taken.name,
            folder=str(target.folder),
            taken_at=datetime.fromisoformat(made["began_at"]),
            files=made["files"]["named"] + made["files"]["not_in_this_dump"],
            size_bytes=made["files"]["size_bytes"],
            not_whole=len(taken.not_whole),
        )
    return note_checked(target)


def note_checked(target: Target) -> list[str]:
    """Take over what `check_backup`, which doesn't touch the office, wrote beside its backups.

    Returns the names of those of which it can't be read.
    """
    unread = []
    for row in Backup.objects.filter(name__in=target.names()):
        there = target.backups / row.name / CHECKED
        if not there.is_file():
            continue
        try:
            said = json.loads(there.read_text())
            checked_at, problems = datetime.fromisoformat(said["checked_at"]), said["problems"]
        except (OSError, ValueError, TypeError, KeyError):
            unread.append(row.name)
            continue
        if row.checked_at != checked_at:
            with as_the_office("check_backup", "A backup was restored to try it"):
                row.checked_at, row.problems = checked_at, len(problems)
                row.save()
    return unread


def write_checked(target: Target, name: str, *, at: datetime, problems: list[str]) -> None:
    """Leave beside a backup that it was checked, for the office to take over."""
    said = {"checked_at": at.isoformat(timespec="seconds"), "problems": problems}
    there = target.backups / name / CHECKED
    write_whole(there, json.dumps(said, indent=1))
    # Who tries a backup is often root, and the office reads it as the account that made the folder.
    whose = there.parent.stat()
    with suppress(OSError):
        os.chown(there, whose.st_uid, whose.st_gid)


def note_restored(manifest: dict[str, Any]) -> None:
    """Keep, once, that the office was put up from a backup; nobody stays signed in from before."""
    if Restoration.objects.filter(backup=manifest["name"]).exists():
        return  # a run before this one, whose store went away in its last step
    with as_the_office("restore_office", f"Restored from backup {manifest['name']}"):
        Restoration.objects.create(
            backup=manifest["name"],
            taken_at=datetime.fromisoformat(manifest["began_at"]),
            not_whole=len(manifest["not_whole"]),
        )
        Session.objects.all().delete()
