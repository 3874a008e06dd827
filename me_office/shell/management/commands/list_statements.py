"""Prints every text about medicine or law with its place and source."""

from __future__ import annotations

from importlib import import_module
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from me_office.statements import by_place


class Command(BaseCommand):
    """`manage.py list_statements`: one Markdown table a place."""

    help = "Print every text about medicine or law, with where it is read and its source."

    def handle(self, *args: Any, **options: Any) -> None:
        """Write the tables."""
        import_module(settings.ROOT_URLCONF)  # what the pages say is registered with them
        for where, texts in by_place().items():
            self.stdout.write(f"## {where}\n")
            self.stdout.write("| text | source |\n| --- | --- |")
            for one in texts:
                cells = (one.text, one.source)
                row = " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in cells)
                self.stdout.write(f"| {row} |")
            self.stdout.write("")
