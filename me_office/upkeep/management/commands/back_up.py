"""Copy the office away, sealed, while people work."""

from __future__ import annotations

import errno
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from evidence import store
from me_office.upkeep.backup import noting, postgres, sealing, taking
from me_office.upkeep.backup.target import CHECKED, Refused, Target, count_lacking

NOTHING_MADE = "No backup was made. What was copied stays for the next one: run it again."


class Command(BaseCommand):
    """`manage.py back_up TARGET`: run as the owner of the tables."""

    help = (
        "Copies database and files into TARGET (ME_BACKUP_TARGET), sealed for the keys in "
        "ME_BACKUP_RECIPIENTS. Files that are there whole are not copied again. Ends with 1 "
        "where a file is missing or altered; the backup is made all the same and names it."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("target", nargs="?", default=settings.BACKUP_TARGET)

    def handle(self, *args: Any, target: Path | str, **options: Any) -> None:
        if not str(target):
            raise CommandError("Name the folder of the backups, or set ME_BACKUP_TARGET.")
        if not settings.BACKUP_RECIPIENTS:
            raise CommandError(
                "Set ME_BACKUP_RECIPIENTS: for whom the backup is sealed. On a machine that is "
                "not this one, manage.py backup_key FILE makes a key."
            )
        there, params = Target(Path(target)), postgres.reach(connection.get_connection_params())
        try:
            keys = sealing.recipients(settings.BACKUP_RECIPIENTS)
            with store.for_a_command(self._say, then=NOTHING_MADE):
                taken = self._taken(there, keys, params)
        except (Refused, ValueError, postgres.NoTool) as error:
            raise CommandError(str(error)) from error
        unread = noting.note_taken(there, taken)
        for name in unread:
            self.stderr.write(
                f"What check_backup wrote of backup {name} can't be read here: {CHECKED} in its "
                "folder has to belong to this account."
            )
        self._tell(taken)

    def _taken(self, there: Target, keys: list[Any], params: dict[str, Any]) -> taking.Taken:
        try:
            return taking.take(there, keys, params, say=self._say)
        except PermissionError as error:
            raise CommandError(
                f"This account may not write into {error.filename}: the folder of the backups has "
                f"to belong to it. {NOTHING_MADE}"
            ) from error
        except OSError as error:
            if error.errno in {errno.ENOSPC, errno.EDQUOT}:
                raise CommandError(
                    "There is no room left: no backup was made. What was copied stays for the next "
                    "one."
                ) from error
            raise

    def _say(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()

    def _tell(self, taken: taking.Taken) -> None:
        files = taken.manifest["files"]
        rows = sum(one["rows"] for one in taken.manifest["tables"].values())
        self.stdout.write(
            f"Backup {taken.name}: {rows} rows, {files['named']} files that they name, "
            f"{files['not_in_this_dump']} other files; {taken.copied} copied now, "
            f"{taken.kept_before} were there."
        )
        if taken.store_is_empty:
            raise CommandError(
                f"The file store is empty. {count_lacking(taken.manifest)} Mount the disk, or mend "
                "ME_FILE_STORE or ME_S3_BUCKET; then make another backup."
            )
        for path, problem in taken.not_whole:
            self.stderr.write(f"{problem}: {path}")
        if taken.not_whole:
            raise CommandError(
                f"{len(taken.not_whole)} files are not in the backup. manage.py check_store"
            )
