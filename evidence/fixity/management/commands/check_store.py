"""Read the whole file store now and say what is missing or altered."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from evidence.fixity import actions
from evidence.fixity.models import FixityProblem


class Command(BaseCommand):
    help = (
        "Reads every file of the store and compares its digest. Goes on with a run that stopped. "
        "Ends with 1 where a file is missing, altered or unreadable."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--rate", type=int, default=0, help="Most megabytes a second; 0 (default): no bound."
        )

    def handle(self, *args: Any, rate: int, **options: Any) -> None:
        run = actions.begin_run(now=timezone.now())
        while run.finished_at is None:
            run = actions.go_on(run, most_bytes_a_second=rate * 1_000_000)
        self.stdout.write(f"{run.files} files checked, {run.size_bytes / 1e6:.1f} MB.")
        open_ones = FixityProblem.objects.filter(resolved_at=None).select_related("file")
        for problem in open_ones.exclude(whole_again_at=None).order_by("found_at", "id"):
            self.stdout.write(f"intact again: {problem.file.sha256} ({problem.file.path})")
        wrong = open_ones.filter(whole_again_at=None)
        for problem in wrong.order_by("found_at", "id"):
            self.stdout.write(f"{problem.kind}: {problem.file.sha256} ({problem.file.path})")
        if wrong:
            raise CommandError(f"{len(wrong)} files of the store are damaged or missing.")
        self.stdout.write("All are intact.")
