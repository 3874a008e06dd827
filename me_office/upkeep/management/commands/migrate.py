"""`manage.py migrate`, careful of an office at work: no table is waited for over a second."""

from __future__ import annotations

import time
from contextlib import suppress
from typing import Any

from django.core.management.base import CommandError
from django.core.management.commands import migrate
from django.db import Error, OperationalError, connections
from psycopg.errors import LockNotAvailable

from me_office.upkeep.applied import unknown
from me_office.upkeep.earlier_models import made_sooner

# Whoever waits for a table lets everybody who comes after wait as well: so not for long, but again.
WAIT_MS = 1000
TRIES = 60
PAUSE_SECONDS = 2.0
# One at a time: of two that make one index beside the work, the second leaves half of it. Any
# number will do that nobody else on this database takes.
LOCK = 0x6F66666963650001


class Command(migrate.Command):
    """Refuses a database that is newer than the code; gives way to who uses a table, and retries.

    What has run is recorded, one migration at a time, so that another try goes on from there.
    """

    def handle(self, *args: Any, **options: Any) -> None:
        """Run what is due."""
        self.using = options["database"]
        connection = connections[self.using]
        if newer := unknown(connection):
            raise CommandError(
                "This database was brought up to date by a newer version: it has gone "
                f"{', '.join(newer)}, which this version does not know. Nothing was changed. Run "
                "the newer version, or restore the backup from before."
            )
        for tries_left in reversed(range(TRIES)):
            self._wait_no_longer_than(WAIT_MS)
            if not self._alone():
                self._pause("Another migrate is at work; waiting for it.")
                continue
            try:
                with made_sooner():
                    super().handle(*args, **options)
            except OperationalError as error:
                if not isinstance(error.__cause__, LockNotAvailable):
                    raise
                if not tries_left:
                    raise CommandError(
                        "Somebody used a table all the time. What had run is kept, and nothing is "
                        "half done: run migrate again when there is less to do."
                    ) from error
                self._pause(" somebody is using the table; trying again.")
            else:
                return
            finally:
                # Where the connection was lost there is nothing to reset, and why is said above.
                if connection.connection is not None:
                    with suppress(Error), connection.cursor() as cursor:
                        cursor.execute("RESET lock_timeout")
                        cursor.execute("SELECT pg_advisory_unlock(%s)", [LOCK])
        raise CommandError(
            "Another migrate was at work all the time. Look whether it still is; nothing was "
            "changed here."
        )

    def _alone(self) -> bool:
        """Tell whether no other migrate works on this database; none will until this one ends."""
        with connections[self.using].cursor() as cursor:
            cursor.execute("SELECT pg_try_advisory_lock(%s)", [LOCK])
            return bool(cursor.fetchone()[0])

    def _pause(self, why: str) -> None:
        self.stdout.write(why)
        connections[self.using].close()
        time.sleep(PAUSE_SECONDS)

    def migration_progress_callback(
        self, action: str, migration: Any = None, fake: bool = False
    ) -> None:
        """Wait as long as it takes where nobody waits behind: an index that is made beside work."""
        if action == "apply_start" and not migration.atomic:
            self._wait_no_longer_than(0)
        elif action == "apply_success":
            self._wait_no_longer_than(WAIT_MS)
        super().migration_progress_callback(action, migration, fake)

    def _wait_no_longer_than(self, milliseconds: int) -> None:
        with connections[self.using].cursor() as cursor:
            cursor.execute("SELECT set_config('lock_timeout', %s, false)", [str(milliseconds)])
