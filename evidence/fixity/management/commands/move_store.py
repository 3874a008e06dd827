"""Move the file store to another folder or bucket, while people work."""

from __future__ import annotations

import os
from argparse import ArgumentParser
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.core.exceptions import ImproperlyConfigured
from django.core.files.storage import Storage, default_storage, storages
from django.core.management.base import BaseCommand, CommandError

from evidence import store
from evidence.store import moving
from evidence.store.moving import Count
from me_office.environment import Environment
from me_office.environment.stores import NAMES, storage_of

FOLDER = "ME_FILE_STORE"
SAID_EVERY = 1000


class Command(BaseCommand):
    help = (
        "Copies every file that a record names to another store (a folder, or a file with the "
        "lines ME_S3_... of a bucket), each compared by its digest on both sides. Goes on where it "
        "stopped. Nothing is deleted, and the office goes on with the old store, until --switch."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        what = parser.add_mutually_exclusive_group(required=True)
        what.add_argument("--to", help="The new store: a folder, or a file of ME_S3_... lines.")
        what.add_argument(
            "--delete-left",
            metavar="OLD",
            help="After the switch: read every file in the new store, then delete the old ones.",
        )
        parser.add_argument(
            "--switch",
            action="store_true",
            help="The office is stopped: copy what came since; the new store is the office's then.",
        )
        parser.add_argument(
            "--even-so", action="store_true", help="Others at the database are not the office."
        )

    def handle(self, *args: Any, **options: Any) -> None:
        then = "Run this again: it goes on from here."
        try:
            with store.for_a_command(self.stdout.write, then=then):
                if options["delete_left"]:
                    self._delete(storage_named(options["delete_left"]))
                else:
                    self._move(storage_named(options["to"]), options)
        except moving.CannotMove as error:
            raise CommandError(str(error)) from error

    def _move(self, new: Storage, options: dict[str, Any]) -> None:
        old: Storage = storages["default"]
        if moving.are_the_same(old, new):
            raise CommandError("That is the office's store already.")
        if store.whose() not in store.GOOD:
            raise CommandError(f"The office's own file store is {store.whose()}. Mend that first.")
        others = moving.others_connected() if options["switch"] else 0
        if others and not options["even_so"]:
            raise CommandError(
                f"The office is not stopped: {others} other connections to its database. Stop web, "
                "worker and beat; if those are not the office's, add --even-so."
            )
        count = self._followed(moving.copy_all(old, new), "looked at")
        self.stdout.write(
            f"{count.files} files, {count.size_bytes / 1e6:.1f} MB; {count.copied} copied now."
        )
        self._refuse_wrong(count)
        if not options["switch"]:
            self.stdout.write(
                "All are in the new store, compared on both sides. To switch: stop the office, run "
                "this again with --switch, change the settings, start it."
            )
            return
        pieces = moving.copy_unfinished(old, new)
        if pieces:
            self.stdout.write(f"{pieces} pieces of files that are still being sent copied.")
        moving.switch(old, new)
        self.stdout.write(
            "The new store is the office's, and nothing writes to the old one any more. Change the "
            "settings, start the office, run manage.py check_store. Nothing was deleted."
        )

    def _delete(self, left: Storage) -> None:
        if store.whose() is not store.Whose.OURS:
            raise CommandError(f"The office's own file store is {store.whose()}.")
        # Everything is read in the new store first, not only what this run would delete.
        count = self._followed(moving.check_all(default_storage), "read")
        self._refuse_wrong(count)
        deleted = sum(1 for _ in moving.delete_left(left))
        self.stdout.write(
            f"{count.files} files are whole in the office's store; {deleted} deleted in the old "
            "one. What no record names is left there."
        )

    def _followed(self, counts: Iterator[Count], done: str) -> Count:
        count = Count()
        for count in counts:
            if count.files % SAID_EVERY == 0:
                self.stdout.write(f"{count.files} files {done}")
        return count

    def _refuse_wrong(self, count: Count) -> None:
        for line in count.wrong:
            self.stderr.write(line)
        if count.wrong:
            raise CommandError(
                f"{len(count.wrong)} files are not in the new store as they should be. Put them "
                "right (a backup has them), then run this again. Nothing was switched or deleted."
            )


def storage_named(place: str) -> Storage:
    """Return the storage that is named: a folder, or a file of lines as the environment has them.

    Raises CommandError.
    """
    lines = Path(place)
    if not lines.is_absolute():
        raise CommandError(f"Name {place} from the root on, such as /etc/office/{lines.name}.")
    if not lines.is_file():
        return _made(storage_of(lambda name: "", lines.resolve()))
    said: dict[str, str] = {}
    for line in lines.read_text().splitlines():
        name, _, value = line.partition("=")
        if name.strip() in {*NAMES, FOLDER}:
            said[name.strip()] = value.strip().strip("\"'")
    if not said:
        raise CommandError(f"{place} has no line that names a store: ME_S3_BUCKET=...")
    others = {name: value for name, value in os.environ.items() if name not in {*NAMES, FOLDER}}
    try:
        given = Environment({**others, **said})
    except ImproperlyConfigured as error:
        raise CommandError(str(error)) from error
    return _made(storage_of(given.text, Path(said.get(FOLDER, "")).resolve()))


def _made(described: dict[str, Any]) -> Storage:
    return storages.create_storage(described)
