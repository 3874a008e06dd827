"""How an index that is not whole is mended: what a rebuilding left goes, any other is rebuilt.

The names are those that PostgreSQL's documentation of REINDEX gives ("Rebuilding Indexes
Concurrently"): a suffix ccnew or ccold, with a number where the name is taken.
"""

from __future__ import annotations

import pytest

from me_office.upkeep.parts.database import _mend

LEFT = ["by_day_ccnew", "by_day_ccold", "by_day_ccnew1", "by_day_ccold12", '"By day_ccold2"']
OTHERS = ["by_day", "by_ccnew_day", "by_day_ccnewer", "by_dayccold", "cases_by_account"]


@pytest.mark.parametrize("name", LEFT)
def test_what_a_rebuilding_left_is_taken_away(name: str):
    assert _mend(name, migrating=False).endswith(f": DROP INDEX CONCURRENTLY {name}")


@pytest.mark.parametrize("name", OTHERS)
def test_any_other_is_rebuilt_beside_the_work(name: str):
    assert _mend(name, migrating=False).endswith(f": REINDEX INDEX CONCURRENTLY {name};")


@pytest.mark.parametrize("name", [*LEFT, *OTHERS])
def test_while_a_migration_is_due_it_is_made_by_that(name: str):
    said = _mend(name, migrating=True)
    assert said.endswith(f": DROP INDEX CONCURRENTLY {name}; then manage.py migrate")
