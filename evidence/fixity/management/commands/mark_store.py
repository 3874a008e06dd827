"""Say that the file store is this office's, after it was moved or put back by hand."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from evidence import store
from evidence.store.models import StoredFile

NEWEST = 200


class Command(BaseCommand):
    help = (
        "Writes this office's mark into a file store that has none, or one that can't be read. "
        "Refuses where another office's mark is there, or where one of the "
        f"{NEWEST} newest files is not whole."
    )

    def handle(self, *args: Any, **options: Any) -> None:
        with store.for_a_command(self.stdout.write, then="Run it again."):
            self._mark()

    def _mark(self) -> None:
        whose = store.whose()
        if whose is store.Whose.OTHERS:
            raise CommandError(f"The file store is {whose}.")
        for stored in StoredFile.objects.order_by("-stored_at", "-pk")[:NEWEST]:
            if not store.is_whole(stored):
                raise CommandError(f"{stored.path} is missing or altered: this is another store.")
        store.write_mark()
        self.stdout.write("The file store carries this office's mark. Now: manage.py check_store.")
