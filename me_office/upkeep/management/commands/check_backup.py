"""Restore a backup into a scratch database and compare; the office is not touched."""

from __future__ import annotations

from argparse import ArgumentParser
from contextlib import nullcontext
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import psycopg
from django.core.management.base import BaseCommand, CommandError

from me_office.upkeep.backup import noting, postgres, restoring, sealing
from me_office.upkeep.backup.target import Refused, Target, lacking


class Command(BaseCommand):
    """`manage.py check_backup SOURCE --key FILE`: needs neither the office nor its settings."""

    help = (
        "Restores a backup (the newest in SOURCE) into a scratch database, compares every table, "
        "trigger and number, opens every file and compares its digest. Nothing of it is kept."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("source", type=Path)
        parser.add_argument("--key", type=Path, required=True, help="file with the secret key")
        parser.add_argument("--backup", default="", help="its name; the newest without")
        parser.add_argument(
            "--database",
            default="",
            help="an empty database to use, as a postgresql:// address; without it a PostgreSQL "
            "of its own is started for as long as this takes",
        )

    def handle(
        self, *args: Any, source: Path, key: Path, backup: str, database: str, **options: Any
    ) -> None:
        target = Target(source)
        try:
            name = backup or target.latest()
            one = restoring.Source(target, name, sealing.identities(key))
            # Before a server is started for it.
            one.require_known_version()
            one.require_whole()
            given = psycopg.conninfo.conninfo_to_dict(database) if database else None
            with nullcontext(given) if given else restoring.scratch() as params:
                self._require_empty(params)
                wrong = restoring.check(one, params, say=self.stdout.write)
        except (Refused, sealing.Broken, ValueError, OSError, postgres.NoTool) as error:
            raise CommandError(str(error)) from error
        except restoring.NoServer as error:
            raise CommandError(f"{error}. Name an empty database with --database.") from error
        noting.write_checked(target, name, at=datetime.now(UTC), problems=wrong)
        for problem in wrong:
            self.stderr.write(problem)
        for line in lacking(one.manifest):
            self.stderr.write(line)
        if wrong:
            raise CommandError(f"Backup {name} is not whole: {len(wrong)} problems.")
        self.stdout.write(f"Backup {name} is whole: restored and compared.")

    def _require_empty(self, params: dict[str, Any]) -> None:
        with postgres.connect(params) as connection:
            if postgres.tables(connection):
                raise Refused("The database to use is not empty.")
