"""After every migration the trigger of the states stands as the rules say, whatever it was."""

from __future__ import annotations

import pytest
from django.db import connection

from cases.review.models import Report
from me_office.audit.moves import hold_moves

pytestmark = pytest.mark.django_db


def standing() -> list[tuple[str, str]]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT tgenabled::text, pg_get_triggerdef(oid, true) FROM pg_trigger"
            " WHERE tgname = 'state_moves' AND tgrelid = 'review_report'::regclass"
        )
        return cursor.fetchall()


@pytest.mark.parametrize(
    "spoiled",
    [
        "ALTER TABLE review_report DISABLE TRIGGER state_moves",
        "ALTER TABLE review_report ENABLE REPLICA TRIGGER state_moves",
        "DROP TRIGGER state_moves ON review_report",
        "CREATE OR REPLACE TRIGGER state_moves BEFORE UPDATE ON review_report"
        " FOR EACH ROW EXECUTE FUNCTION state_moves('', '')",
    ],
)
def test_a_trigger_that_is_off_gone_or_otherwise_is_made_again(spoiled: str) -> None:
    hold_moves(Report)
    [(enabled, made)] = standing()
    assert enabled == "O"
    assert "BEFORE INSERT OR UPDATE" in made
    with connection.cursor() as cursor:
        cursor.execute(spoiled)
    assert standing() != [(enabled, made)]
    hold_moves(Report)
    assert standing() == [(enabled, made)]


def test_before_its_migration_has_run_nothing_is_made() -> None:
    with connection.cursor() as cursor:
        cursor.execute("DROP FUNCTION state_moves CASCADE")
    hold_moves(Report)
    assert standing() == []
