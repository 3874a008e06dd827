"""A new office takes the folded migrations, an older one goes on from where it is."""

from __future__ import annotations

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.migrations.autodetector import MigrationAutodetector
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder

from cases.review.models import Report
from me_office.accounts.roles import Role
from tests.builders import make_case, make_staff
from tests.platform.way_back import go_back

FOLDED = {
    key: migration
    for key, migration in MigrationLoader(None).disk_migrations.items()
    if migration.replaces
}


def test_both_ways_lead_to_the_same_tables():
    folded, steps = MigrationLoader(None), MigrationLoader(None, replace_migrations=False)
    assert len(FOLDED) == 12
    assert FOLDED.keys() <= folded.graph.nodes.keys()
    ends = [node for node in steps.graph.leaf_nodes() if node not in FOLDED]
    one, other = folded.project_state(), steps.project_state(ends)
    assert MigrationAutodetector(one, other).changes(folded.graph) == {}
    assert MigrationAutodetector(other, one).changes(folded.graph) == {}


@pytest.mark.parametrize("key", [key for key in FOLDED if "_until_" in key[1]], ids="-".join)
def test_a_folded_migration_names_every_step_up_to_the_one_in_its_name(key):
    app, last = key[0], key[1].removeprefix("0001_until_")
    steps = [
        one
        for one in MigrationLoader(None).disk_migrations
        if one[0] == app and one != key and one[1][:4] <= last
    ]
    assert sorted(FOLDED[key].replaces) == sorted(steps)


def tables() -> list[tuple[object, ...]]:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT table_name, column_name, data_type, is_nullable, ordinal_position"
            " FROM information_schema.columns WHERE table_schema = 'public' ORDER BY 1, 5"
        )
        return cursor.fetchall()


@pytest.mark.django_db
def test_an_office_that_went_every_step_is_told_so_and_nothing_is_made_again():
    before = tables()
    recorded = MigrationRecorder.Migration.objects
    recorded.filter(name__startswith="0001_until_").delete()
    steps = set(recorded.values_list("app", "name"))

    call_command("migrate", verbosity=0)

    assert set(recorded.values_list("app", "name")) == steps | FOLDED.keys()
    assert tables() == before


@pytest.mark.django_db
@pytest.mark.usefixtures("beside_nobody")
def test_an_office_half_way_goes_the_steps_that_it_lacks_and_keeps_its_rows():
    vasko = make_staff(Role.PATHOLOGIST)
    by = {"created_by": vasko, "changed_by": vasko}
    kept = Report.objects.create(case=make_case(by=vasko), author=vasko, **by)
    columns = {(row[0], row[1]) for row in tables()}
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
    # What came later goes back first, step by step.
    go_back(("signatures", None), ("review", "0006_signed_pdf"))
    with connection.cursor() as cursor:
        # Before a case was closed without a report, and before signed PDFs were kept.
        cursor.execute("DROP TABLE review_caseclosing, review_signedpdf")
        cursor.execute(
            "DELETE FROM django_migrations WHERE app = 'review' AND (name LIKE"
            " '0001_until_%' OR name LIKE '%closed_without_a_report' OR name LIKE '%signed_pdf')"
        )
        assert cursor.rowcount == 3

    call_command("migrate", verbosity=0)

    assert {(row[0], row[1]) for row in tables()} == columns
    assert [one.pk for one in Report.objects.all()] == [kept.pk]


def test_no_step_rests_on_steps_folded_into_one():
    """Read step by step, the folded ones come second, and would make tables anew."""
    loaded = MigrationLoader(None).disk_migrations
    resting = [
        (key, on)
        for key, migration in loaded.items()
        for on in migration.dependencies
        if tuple(on) in FOLDED
    ]
    assert resting == []
