"""Says what is missing, wrong or dangerous before people work, and what to do about it."""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from me_office.upkeep.conditions import Condition, State, log, look
from me_office.upkeep.watch import without_what_follows


class Command(BaseCommand):
    """`manage.py ready`: ends with 0 when everything is right, else with 1."""

    help = "Name everything that is missing, wrong or dangerous, with what to do."
    # It says itself what the framework's own checks would end with.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """Offer the answer for programs."""
        parser.add_argument("--json", action="store_true", help="one JSON list, for programs")

    def handle(self, *args: Any, **options: Any) -> None:
        """Look at everything."""
        # What went wrong in looking is in words already; -v 2 shows where in the code.
        log.disabled = options["verbosity"] < 2
        try:
            found = list(look())
        finally:
            log.disabled = False
        if options["json"]:
            self.stdout.write(json.dumps([asdict(one) for one in found], indent=1))
        else:
            self._tell(found)
        if any(one.state is not State.RIGHT for one in found):
            raise SystemExit(1)

    def _tell(self, found: list[Condition]) -> None:
        seen, unseen = without_what_follows(found)
        for one in seen:
            if one.state is not State.RIGHT:
                self._write(one)
        if unseen:
            self.stdout.write(f"not seen while the database is away: {', '.join(unseen)}.")
        for one in seen:
            if one.state is State.RIGHT:
                self._write(one)

    def _write(self, one: Condition) -> None:
        self.stdout.write(f"{one.state}: {one.name}. {one.says}".strip())
        if one.to_do:
            self.stdout.write(f"    {one.to_do}")
