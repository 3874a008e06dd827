"""Load the invented office of Tarn County, or print how its people sign in."""

from __future__ import annotations

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from me_office.demo.loading import load_office
from me_office.demo.office import sign_ins
from me_office.demo.retiming import owner_at


class Command(BaseCommand):
    """Run at every start of a try-out; what is there already is left as it is."""

    # The address of the try-out's cluster for its owner, from whoever made the cluster; never on a
    # command line, where every account of the machine can read it.
    stealth_options = ("owner",)
    help = (
        "Loads an invented office with its staff, cases and synthetic pictures. The records tell "
        "the times of an invented story; the trail does so in the try-out of `make demo` alone, "
        "elsewhere it tells when they were loaded, as it always does. Run again, it adds nothing "
        "and keeps what people entered."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--sign-ins", action="store_true", help="Print the demo sign-ins and do nothing else."
        )
        parser.add_argument(
            "--anyway",
            action="store_true",
            help="Load into a database named by DATABASE_URL. The accounts have a known password.",
        )
        parser.add_argument(
            "--picture-width",
            type=int,
            default=1500,
            help="Width of the painted photographs in pixels (default: 1500).",
        )

    def handle(self, *args: Any, owner: str = "", **options: Any) -> None:
        if options["sign_ins"]:
            self.stdout.write(sign_ins())
            return
        if not settings.EMBEDDED and not options["anyway"]:
            raise CommandError(
                "DATABASE_URL is set: the demonstration is for a try-out on embedded servers, and "
                "its accounts have a password that everybody knows. Use --anyway if this "
                "database is for trying out."
            )
        if not 360 <= options["picture_width"] <= 6000:
            raise CommandError("--picture-width must be from 360 to 6000.")
        wanted = {"picture_width": options["picture_width"], "say": self._say(options)}
        if owner:
            # The application's role, as which everything is loaded, can't move a time.
            with owner_at(owner) as mover:
                loaded = load_office(**wanted, mover=mover)
        else:
            loaded = load_office(**wanted)
        if loaded and options["verbosity"]:
            self.stdout.write(f"Loaded the demonstration office: {loaded} cases.")

    def _say(self, options: dict[str, Any]) -> Any:
        def say(words: str) -> None:
            if options["verbosity"] > 1:
                self.stdout.write(words)

        return say
