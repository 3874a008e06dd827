"""What a version released stays: its migrations, its jobs, and what an administrator was told."""

from __future__ import annotations

import inspect
import json
import re
from pathlib import Path
from typing import Any

import pytest
from django.contrib.postgres.operations import (
    AddConstraintNotValid,
    AddIndexConcurrently,
    ValidateConstraint,
)
from django.db import migrations, models
from django.db.migrations.loader import MigrationLoader
from django.db.models import CheckConstraint, Index, Q

from me_office.celery import app
from me_office.version import VERSION
from tests.upgrade.careful import careless
from tests.upgrade.release import RELEASED, ROOT, migration_files, tasks

KNOWN: dict[str, dict[str, Any]] = json.loads(RELEASED.read_text())
CHANGES = (ROOT / "CHANGES.md").read_text()


def number(version: str) -> tuple[int, ...]:
    return tuple(map(int, version.split(".")))


def changed_since(released: dict[str, str], now: dict[str, str]) -> list[str]:
    """Return the released files that are gone or not the same."""
    return [path for path, digest in released.items() if now.get(path) != digest]


def test_no_released_migration_was_edited_or_taken_away():
    now = migration_files()
    for version, kept in KNOWN.items():
        assert changed_since(kept["migrations"], now) == [], version
    one = dict(KNOWN[min(KNOWN, key=number)]["migrations"])
    path = next(iter(one))
    assert changed_since({path: "0" * 64}, now) == [path]
    assert changed_since({"cases/migrations/0099_gone.py": "0"}, now) != []


def test_new_migrations_and_jobs_come_with_a_new_version():
    last = max(KNOWN, key=number)
    new = set(migration_files()) - set(KNOWN[last]["migrations"])
    if new or tasks() != KNOWN[last]["tasks"]:
        assert number(VERSION) > number(last), sorted(new)


def test_every_version_says_what_an_administrator_does():
    told = re.findall(r"^## (\d+\.\d+\.\d+) \((\d{4}-\d\d-\d\d)\)$", CHANGES, re.MULTILINE)
    versions = [version for version, _ in told]
    assert versions == sorted(versions, key=number, reverse=True)
    assert versions[0] == VERSION
    assert set(KNOWN) <= set(versions)
    for part in re.split(r"^## ", CHANGES, flags=re.MULTILINE)[1:]:
        assert "To do" in part, part.splitlines()[0]


@pytest.mark.parametrize("version", KNOWN)
def test_the_jobs_of_a_neighboring_version_are_understood(version: str):
    app.loader.import_default_modules()
    for name, sent in KNOWN[version]["tasks"].items():
        assert name in app.tasks, f"{name} is still sent by version {version}"
        inspect.signature(app.tasks[name].run).bind(**dict.fromkeys(sent))


def test_no_migration_since_is_careless_of_those_at_work():
    last, files = KNOWN[max(KNOWN, key=number)]["migrations"], migration_files()
    for key, migration in MigrationLoader(None).disk_migrations.items():
        path = str(Path(*type(migration).__module__.split("."))) + ".py"
        if path in files and path not in last:
            assert list(careless(migration)) == [], key


TEXT, CHECK = models.CharField(max_length=9), CheckConstraint(condition=Q(a=1), name="a_is_one")
INDEX = Index(fields=["a"], name="by_a")
ONE_EACH = models.UniqueConstraint(fields=["a"], name="one_a_each")
WITH_DEFAULT = models.CharField(max_length=9, db_default="")


@pytest.mark.parametrize(
    ("operation", "word"),
    [
        (migrations.AddField("case", "a", TEXT), "db_default"),
        (
            migrations.AddField("case", "a", models.CharField(max_length=9, default="")),
            "db_default",
        ),
        (migrations.AddField("case", "a", WITH_DEFAULT), ""),
        (migrations.AddField("case", "a", models.IntegerField(null=True)), ""),
        (migrations.AddField("case", "a", models.ManyToManyField("cases.Case")), ""),
        (migrations.AddIndex("case", INDEX), "AddIndexConcurrently"),
        (AddIndexConcurrently("case", INDEX), ""),
        (migrations.AddConstraint("case", CHECK), "AddConstraintNotValid"),
        (AddConstraintNotValid("case", CHECK), ""),
        (ValidateConstraint("case", "a_is_one"), ""),
        (migrations.AddConstraint("case", ONE_EACH), "CONCURRENTLY"),
        (migrations.RenameField("case", "a", "b"), "old name"),
        (migrations.RenameModel("Case", "File"), "old name"),
        (migrations.AlterModelTable("case", "file"), "old name"),
        (migrations.RemoveField("case", "a"), "still asks"),
        (migrations.DeleteModel("Case"), "still asks"),
    ],
    ids=lambda value: type(value).__name__ if not isinstance(value, str) else value or "careful",
)
def test_what_is_careless(operation: Any, word: str):
    step = migrations.Migration("0099_tried", "cases")
    step.operations = [operation]
    said = list(careless(step))
    assert [word in one for one in said] == [True] * bool(word)


def test_a_new_table_may_be_made_whole():
    step = migrations.Migration("0099_tried", "cases")
    step.operations = [
        migrations.CreateModel("Ferry", [("id", models.AutoField(primary_key=True))]),
        migrations.AddField("ferry", "a", TEXT),
        migrations.AddIndex("ferry", INDEX),
        migrations.AddConstraint("ferry", CHECK),
    ]
    assert list(careless(step)) == []
