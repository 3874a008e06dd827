"""Who holds an item is kept by reading that item alone, however many there are."""

from __future__ import annotations

import pytest
from django.db import connection

from evidence.custody.models import CustodyState
from evidence.items.models import Item
from me_office.accounts.roles import Role
from tests.builders import make_case, make_staff, past_the_triggers
from tests.evidence.log_rows import fill_log
from tests.evidence.pictures import make_finding

pytestmark = pytest.mark.django_db


def rows_read() -> int:
    """How many rows of items this transaction has read through so far."""
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT seq_tup_read FROM pg_stat_xact_user_tables WHERE relname = %s",
            [Item._meta.db_table],
        )
        return int(cursor.fetchone()[0])


def test_the_items_of_the_office_are_not_read_to_keep_who_holds_one():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    with past_the_triggers() as cursor:
        fill_log(vasko, case, 300, make_finding(case, vasko))
        cursor.execute("SELECT custody_keep_standing(NULL)")
    assert CustodyState.objects.filter(item__case=case).count() == 300
    keys = list(Item.objects.filter(case=case).values_list("pk", flat=True)[:8])
    before = rows_read()
    with connection.cursor() as cursor:
        for key in keys:
            cursor.execute("SELECT custody_keep_standing(%s)", [key])
    assert rows_read() == before
