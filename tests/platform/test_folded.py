"""A folded migration makes each table once, as its steps leave it, after those it needs."""

from __future__ import annotations

import sys
from types import ModuleType

import pytest
from django.db import migrations, models

from me_office.folded import folded

KEY = ("id", models.BigAutoField(primary_key=True))
FIRST = [
    # The names are in the order in which they must not come.
    migrations.CreateModel("Autopsy", [KEY]),
    migrations.CreateModel("Body", [KEY, ("name", models.CharField(max_length=20))]),
    migrations.CreateModel(
        "Clerk", [KEY, ("over", models.ForeignKey("ledger.Clerk", models.PROTECT))]
    ),
    migrations.CreateModel("Draft", [KEY]),
]
THEN = [
    migrations.AddField("Autopsy", "body", models.ForeignKey("ledger.Body", models.PROTECT)),
    migrations.AddField("Autopsy", "by", models.ForeignKey("other.Draft", models.PROTECT)),
    migrations.AddField("Body", "seen_by", models.ManyToManyField("ledger.Clerk")),
    migrations.AlterField("Body", "name", models.CharField(max_length=80)),
    migrations.CreateModel(
        "Addendum",
        [("report", models.OneToOneField("ledger.Zone", models.PROTECT, primary_key=True))],
    ),
    migrations.CreateModel("Area", [], bases=("ledger.Zone",)),
    # Nothing else names the one that it continues.
    migrations.CreateModel("Aisle", [], bases=("ledger.Hall",)),
    migrations.CreateModel("Hall", [KEY]),
    migrations.CreateModel("Zone", [KEY], options={"ordering": ["id"], "indexes": []}),
    migrations.DeleteModel("Draft"),
]


@pytest.fixture
def package(monkeypatch):
    """The migrations of an app of which nothing else is there; the second step depends on all."""
    name = "office.ledger.migrations"
    for step, operations in (("0001_first", FIRST), ("0002_then", THEN)):
        module = ModuleType(f"{name}.{step}")
        module.Migration = type("Migration", (migrations.Migration,), {"operations": operations})
        monkeypatch.setitem(sys.modules, module.__name__, module)
    return name


def test_each_table_is_made_once_as_the_last_step_leaves_it(package):
    made = {one.name: one for one in folded(package, ["0001_first", "0002_then"])}
    assert made.keys() == {"Autopsy", "Body", "Clerk", "Addendum", "Zone", "Area", "Aisle", "Hall"}
    assert [name for name, _ in made["Autopsy"].fields] == ["id", "body", "by"]
    assert dict(made["Body"].fields)["name"].max_length == 80
    assert made["Zone"].options == {"ordering": ["id"]}
    assert [str(base).lower() for base in made["Area"].bases] == ["ledger.zone"]


def test_a_table_comes_after_those_that_it_points_at_or_continues(package):
    order = [one.name for one in folded(package, ["0001_first", "0002_then"])]
    for later, earlier in (
        ("Autopsy", "Body"), ("Body", "Clerk"), ("Addendum", "Zone"), ("Area", "Zone"),
        ("Aisle", "Hall"),
    ):  # fmt: skip
        assert order.index(earlier) < order.index(later)


def test_only_the_steps_that_are_named_count(package):
    assert {one.name for one in folded(package, ["0001_first"])} == {
        "Autopsy", "Body", "Clerk", "Draft",
    }  # fmt: skip
