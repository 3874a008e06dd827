"""A connection that goes on from test to test knows nothing of the one before."""

from __future__ import annotations

import pytest
from django.db import connection

from tests.conftest import is_as_new

pytestmark = pytest.mark.django_db(transaction=True)
LEAVE = """SET work_mem = '7MB'; SET TIME ZONE 'Asia/Tokyo'; SET session_replication_role = replica;
    LISTEN told; SELECT pg_advisory_lock(7)"""
LEFT = """SELECT current_setting('work_mem'), current_setting('TimeZone'),
    current_setting('session_replication_role'),
    (SELECT count(*) FROM pg_listening_channels()),
    (SELECT count(*) FROM pg_locks WHERE locktype = 'advisory' AND pid = pg_backend_pid())"""


def asked(statement: str) -> tuple[object, ...]:
    with connection.cursor() as cursor:
        cursor.execute(statement)
        row: tuple[object, ...] = cursor.fetchone()
        return row


def test_what_a_test_leaves_in_its_connection_is_forgotten() -> None:
    at_first = asked(LEFT)
    with connection.cursor() as cursor:
        cursor.execute(LEAVE)
    assert [one for one, left in zip(at_first, asked(LEFT), strict=True) if one == left] == []
    assert is_as_new()
    assert asked(LEFT) == at_first


def test_a_connection_that_is_lost_or_within_a_transaction_ends() -> None:
    connection.set_autocommit(False)
    assert not is_as_new()
    connection.set_autocommit(True)
    assert is_as_new()
    connection.connection.close()
    assert not is_as_new()
    connection.close()
    assert not is_as_new()
