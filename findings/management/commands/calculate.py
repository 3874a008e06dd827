"""Run a calculation method from the shell: JSON in, JSON out."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from findings.calculations.answers import BAD_INPUT, answer, error_text, listing
from findings.calculations.docs import all_pages


class Command(BaseCommand):
    help = (
        "Reads a JSON object on standard input and writes a JSON object on standard output. "
        "Exit status 2 and a JSON error with the field for an input that cannot be used."
    )
    # The methods are pure: neither the database nor the system checks are needed.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("method", metavar="METHOD", nargs="?", help="Name of the method.")
        parser.add_argument("--list", action="store_true", help="Name the methods and fields.")
        parser.add_argument("--docs", action="store_true", help="Print a page for each method.")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["list"]:
            self.stdout.write(listing())
        elif options["docs"]:
            self.stdout.write(all_pages())
        elif not options["method"]:
            self.stdout.write(error_text("METHOD", "is required, see --list"))
            sys.exit(BAD_INPUT)
        else:
            try:
                given = sys.stdin.read()
            except UnicodeDecodeError:
                given = ""
            status, text = answer(options["method"], given)
            self.stdout.write(text)
            if status:
                sys.exit(status)
