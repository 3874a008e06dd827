"""Moves the trail of the invented office to the times of its story: the owner's step, once.

In an office that works nobody can give another time: the trail's is the database's clock, its rows
refuse every change, and the application's role can neither write them nor switch triggers off.
Here the owner of a cluster that was made for a try-out does it, inside one transaction, for the
loader's own acts alone, and only while there is nothing else in the office.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from typing import Any, Protocol
from uuid import UUID

import psycopg

from me_office.demo.cases import CASES
from me_office.demo.office import STAFF, key_of

SOURCE = "demo"


# Migrations make roles and permissions; all else has a person, or was done by hand.
OTHERS = """
SELECT EXISTS (SELECT FROM audit_auditevent WHERE source <> %(source)s AND NOT (
         actor_id IS NULL AND "table" IN (
           'auth_group', 'auth_permission', 'auth_group_permissions')))
    OR EXISTS (SELECT FROM audit_accessevent)
    OR EXISTS (SELECT FROM accounts_staff WHERE id <> ALL (%(people)s))
    OR EXISTS (SELECT FROM cases_case WHERE id <> ALL (%(cases)s))
"""
# A millisecond apart, as one act writes its rows. Authors' times stand in an event only where they
# are not the event's own (`audit_change`): now they are.
MOVE = """
WITH told AS (
  SELECT * FROM unnest(%(acts)s::text[], %(moments)s::timestamptz[]) AS told (request_id, moment)
), placed AS (
  SELECT e.id, moment + interval '1 millisecond'
         * row_number() OVER (PARTITION BY e.request_id ORDER BY e.id) AS moment
    FROM audit_auditevent e JOIN told USING (request_id) WHERE e.source = %(source)s
)
UPDATE audit_auditevent e
   SET at = placed.moment,
       changes = CASE e.changes - ARRAY['created_at', 'changed_at'] WHEN '{}' THEN e.changes
                 ELSE e.changes - ARRAY['created_at', 'changed_at'] END
  FROM placed WHERE e.id = placed.id
"""


class NotTheLoadersOwn(Exception):
    """There is something in the office that the loader did not make."""


def is_the_loaders_own(cursor: Any) -> bool:
    """Tell whether nobody but the loader has done anything in this office.

    A cursor is the driver's or Django's.
    """
    cursor.execute(
        OTHERS,
        {
            "source": SOURCE,
            "people": [member.key for member in STAFF],
            "cases": [key_of(case.name) for case in CASES],
        },
    )
    (others,) = cursor.fetchone()
    return not others


def move(cursor: Any, moments: Mapping[UUID, datetime]) -> None:
    """Move what each act wrote into the trail to its moment, inside a transaction.

    `moments` are by the acts' request keys. Raises NotTheLoadersOwn; a role that is not the
    cluster's owner is refused by the database.
    """
    if not is_the_loaders_own(cursor):
        raise NotTheLoadersOwn
    # Of this transaction alone: the tables and their triggers are never touched.
    cursor.execute("SET LOCAL session_replication_role = replica")
    acts = [str(key) for key in moments]
    cursor.execute(MOVE, {"acts": acts, "moments": list(moments.values()), "source": SOURCE})
    cursor.execute("SET LOCAL session_replication_role = origin")


class Mover(Protocol):
    """What moves the trail for the loader."""

    def may_move(self) -> bool:
        """Tell whether nobody but the loader has done anything in this office."""

    def move(self, moments: Mapping[UUID, datetime]) -> None:
        """Move what these acts wrote to their moments, in one transaction."""


class Owner:
    """Moves times over the owner's own connection."""

    def __init__(self, connection: psycopg.Connection) -> None:
        self.connection = connection

    def may_move(self) -> bool:
        """Tell whether nobody but the loader has done anything in this office."""
        with self.connection.transaction(), self.connection.cursor() as cursor:
            return is_the_loaders_own(cursor)

    def move(self, moments: Mapping[UUID, datetime]) -> None:
        """Move what these acts wrote to their moments, in one transaction."""
        with self.connection.transaction(), self.connection.cursor() as cursor:
            move(cursor, moments)


@contextmanager
def owner_at(address: str) -> Iterator[Owner]:
    """Connect as the owner of a try-out's cluster."""
    with psycopg.connect(address, autocommit=True) as connection:
        yield Owner(connection)
