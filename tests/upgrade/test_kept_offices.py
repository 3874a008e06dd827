"""An office that earlier code began can be brought up to date, however far it had come."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from tests.upgrade.kept import OFFICES, migrations
from tests.upgrade.release import RELEASED

pytestmark = pytest.mark.django_db


def plan_of(applied: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Return what is still to run where these migrations have."""
    recorder = MigrationRecorder(connection)
    recorder.migration_qs.all().delete()
    for app, name in applied:
        recorder.record_applied(app, name)
    executor = MigrationExecutor(connection)
    executor.loader.check_consistent_history(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return [(migration.app_label, migration.name) for migration, _ in plan]


@pytest.mark.parametrize("office", OFFICES, ids=lambda path: path.name)
def test_the_way_from_a_kept_office_to_this_version_is_there(office: Path):
    applied = migrations(office)
    plan = plan_of(applied)
    assert not set(plan) & set(applied)
    # The first is of a day before there were versions, and before their steps were folded.
    assert len(plan) > 30 or office != OFFICES[0]


@pytest.mark.parametrize("version", json.loads(RELEASED.read_text()))
def test_a_released_version_keeps_an_office_with_all_that_it_released(version: str):
    (office,) = (one for one in OFFICES if one.name == f"v{version}.sql.xz")
    released = json.loads(RELEASED.read_text())[version]["migrations"]
    names = {(path.parent.parent.name, path.stem) for path in map(Path, released)}
    assert names - set(migrations(office)) == set()


@pytest.mark.parametrize("steps", range(7))
def test_findings_go_on_from_each_of_their_first_steps(steps: int):
    executor = MigrationExecutor(connection)
    folded = ("findings", "0001_examinations_and_findings")
    names = executor.loader.disk_migrations[folded].replaces
    assert len(names) == 6
    (office,) = OFFICES[:1]
    applied = [one for one in migrations(office) if one[0] != "findings"] + names[:steps]
    if not steps:
        applied = [("contenttypes", "0001_initial")]
    plan = plan_of(applied)
    rest = names[steps:] if 0 < steps < 6 else [folded] * (not steps)
    assert [one for one in plan if one in {*names, folded}] == rest
