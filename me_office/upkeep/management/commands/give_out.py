"""Write everything that the office has recorded into a folder, in open formats."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from evidence import store
from me_office.upkeep.backup.noting import as_the_office
from me_office.upkeep.giving.writing import give_out
from me_office.upkeep.models import GivenOut


class Command(BaseCommand):
    """`manage.py give_out FOLDER`: run as the owner of the tables; nobody should be at work."""

    help = (
        "Writes every case, restricted ones included, with its records, history, report, files "
        "and packets, and the office's own lists, into FOLDER. Interrupted, it goes on where it "
        "is run again. It is kept in the trail. The folder is not sealed."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path)
        parser.add_argument("--reason", required=True, help="for the trail: for whom, why")

    def handle(self, *args: Any, folder: Path, reason: str, **options: Any) -> None:
        if folder.exists() and any(folder.iterdir()) and not (folder / "data" / "cases").is_dir():
            raise CommandError(f"{folder} holds something else.")
        if not reason.strip():
            raise CommandError("Say for whom, and why.")
        # Before the first byte: a copy that was interrupted was made, too.
        with as_the_office("give_out", reason.strip()):
            row = GivenOut.objects.create(folder=str(folder.resolve())[:400])
        with store.for_a_command(self.stdout.write, then="Run it again: it goes on."):
            given = give_out(folder, say=self.stdout.write)
        with as_the_office("give_out", reason.strip()):
            row.finished_at, row.cases = timezone.now(), given.cases
            row.restricted, row.not_whole = given.restricted, len(given.not_whole)
            row.save()
        self.stdout.write(
            f"{given.cases} cases, {given.restricted} of them restricted; {given.written} written "
            f"now. {folder / 'data' / 'README.txt'} says how to read them."
        )
        for line in given.not_whole:
            self.stderr.write(line)
        if given.not_whole:
            raise CommandError(f"{len(given.not_whole)} files could not be given out.")
