"""Sessions in the database, as Django keeps them; whose a request is, is read in less time."""

from __future__ import annotations

from typing import Any

from django.contrib.sessions.backends import db
from django.contrib.sessions.models import Session
from django.db import connection
from django.utils import timezone

READ = (
    f"SELECT session_data, expire_date FROM {Session._meta.db_table}"  # noqa: S608 - Django's own
    " WHERE session_key = %s AND expire_date > %s"
)


class SessionStore(db.SessionStore):
    """Django's own: every request reads one, and writing the statement took longer than all else.

    It has the name of Django's class, which goes into the signature of what is kept.
    """

    def _get_session_from_db(self) -> Any:
        with connection.cursor() as cursor:
            cursor.execute(READ, [self.session_key, timezone.now()])
            row = cursor.fetchone()
        if row is None:
            self._session_key = None
            return None
        data, until = row
        return Session(session_key=self.session_key or "", session_data=data, expire_date=until)
