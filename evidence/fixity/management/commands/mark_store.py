"""Say that the file store is this office's, after it was moved or put back by hand."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from evidence import store
from evidence.store.models import StoredFile

NEWEST = 200


class Command(BaseCommand):
    help = (
        "Writes this office's mark into a file store that has none, or one that can't be read. "
        "Refuses where another office's mark is there, or where one of the "
        f"{NEWEST} newest files is not whole."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument(
            "--other-is-gone",
            action="store_true",
            help="Another copy of the office's database wrote here, and is no more: after "
            "pg_upgrade, or where a dump was restored by hand.",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        with store.for_a_command(self.stdout.write, then="Run it again."):
            self._mark(other_is_gone=options["other_is_gone"])

    def _mark(self, *, other_is_gone: bool) -> None:
        whose = store.whose()
        if whose is store.Whose.OTHERS:
            raise CommandError(f"The file store is {whose}.")
        if whose is store.Whose.COPYS and not other_is_gone:
            raise CommandError(
                f"The file store is {whose}. Where that one is no more, say --other-is-gone; where "
                "it is the office and this is the copy, give this one a store of its own."
            )
        for stored in StoredFile.objects.order_by("-stored_at", "-pk")[:NEWEST]:
            if not store.is_whole(stored):
                raise CommandError(f"{stored.path} is missing or altered: this is another store.")
        store.write_mark(instead_of_a_copy=other_is_gone)
        self.stdout.write("The file store carries this office's mark. Now: manage.py check_store.")
