"""Read the whole file store now and say what is missing, altered or in no record."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.template.defaultfilters import pluralize
from django.utils import timezone

from evidence import store
from evidence.fixity import actions, reading
from evidence.fixity.models import FixityProblem, FixityRun


class Command(BaseCommand):
    help = (
        "Reads every file that a record names and compares its digest, then looks for files that "
        "no record names. Goes on with a run that stopped. Ends with 1 where a file is missing, "
        "altered, unreadable or in no record, or where the store is not this office's."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--rate", type=int, default=0, help="Most megabytes a second; 0 (default): no bound."
        )

    def handle(self, *args: Any, rate: int, **options: Any) -> None:
        with store.for_a_command(self.stdout.write, then="Run it again: it goes on from there."):
            self._check(rate)

    def _check(self, rate: int) -> None:
        whose = store.whose()
        if whose not in store.GOOD:
            raise CommandError(f"The file store is not this office's: it is {whose}.")
        run = actions.begin_run(now=timezone.now())
        while run.finished_at is None:
            run = actions.go_on(run, most_bytes_a_second=rate * 1_000_000)
        self.stdout.write(f"{run.files} files checked, {run.size_bytes / 1e6:.1f} MB.")
        self._say_unfinished(run)
        open_ones = FixityProblem.objects.filter(resolved_at=None)
        for problem in open_ones.exclude(whole_again_at=None).order_by("found_at", "id"):
            self.stdout.write(f"in order again: {problem.sha256} ({problem.path})")
        wrong = open_ones.filter(whole_again_at=None)
        for problem in wrong.order_by("found_at", "id"):
            named = f"{problem.sha256} ({problem.path})" if problem.sha256 else problem.path
            self.stdout.write(f"{problem.get_kind_display()}: {named}")
        if wrong:
            are = "file of the store is" if len(wrong) == 1 else "files of the store are"
            raise CommandError(f"{len(wrong)} {are} damaged, missing or in no record.")
        each = "each older one" if run.unfinished else "each"
        self.stdout.write(f"All are intact, and a record names {each}.")

    def _say_unfinished(self, run: FixityRun) -> None:
        if run.unfinished:
            young = f"{run.unfinished} file{pluralize(run.unfinished)} of the last day"
            self.stdout.write(f"{young}, which no record names yet.")
        waiting = reading.waiting_since()
        if waiting:
            self.stdout.write(
                f"{len(waiting)} unfinished file{pluralize(len(waiting))} in {store.INCOMING}/, "
                f"the oldest since {waiting[0]:%Y-%m-%d %H:%M} UTC."
            )
