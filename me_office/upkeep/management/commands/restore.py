"""Put the office up again from a backup, in an empty place."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from evidence import store
from me_office.upkeep import applied
from me_office.upkeep.backup import noting, postgres, restoring, sealing
from me_office.upkeep.backup.target import Refused, Target, lacking

GOES_ON = "The office is not put up yet. Run this again: it goes on from here."


class Command(BaseCommand):
    """`manage.py restore SOURCE --key FILE`: run as who is to own the tables."""

    help = (
        "Fills the empty database of DATABASE_URL and the empty file store from a backup (the "
        "newest in SOURCE), compares everything, runs migrate and grant_app_role. Broken off, it "
        "goes on where it is run again."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("source", type=Path)
        parser.add_argument("--key", type=Path, required=True, help="file with the secret key")
        parser.add_argument("--backup", default="", help="its name; the newest without")

    def handle(self, *args: Any, source: Path, key: Path, backup: str, **options: Any) -> None:
        target = Target(source)
        params = postgres.reach(connection.get_connection_params())
        connection.close()
        try:
            one = restoring.Source(target, backup or target.latest(), sealing.identities(key))
            with store.for_a_command(self.stdout.write, then=GOES_ON):
                wrong = restoring.put_up(one, params, say=self.stdout.write)
        except (Refused, sealing.Broken, ValueError, OSError, postgres.NoTool) as error:
            raise CommandError(str(error)) from error
        for problem in wrong:
            self.stderr.write(problem)
        if wrong:
            raise CommandError(
                f"What was restored is not what was copied: {len(wrong)} differences. Do not "
                "work with it."
            )
        if applied.due(connection):
            call_command("migrate", verbosity=0)
        call_command("grant_app_role", verbosity=0)
        # The store may go away at its last step: by this the next run knows what was compared.
        noting.note_restored(one.manifest)
        with store.for_a_command(self.stdout.write, then=GOES_ON):
            restoring.finish()
        for line in lacking(one.manifest):
            self.stderr.write(line)
        self.stdout.write(
            f"Restored from {one.name}, as it was at {one.manifest['began_at']}. Everybody signs "
            "in anew. Now: manage.py check_store, manage.py ready; then start the office."
        )
