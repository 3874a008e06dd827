"""Models of an earlier state come out the same when they are made in less time."""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.conf import settings
from django.contrib.postgres.fields import ArrayField
from django.core.management.commands import migrate
from django.core.validators import MaxValueValidator
from django.db import models
from django.db.migrations import AddField, CreateModel, Migration
from django.db.migrations.autodetector import MigrationAutodetector
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.state import ProjectState

from me_office.upkeep.earlier_models import Executor, made_sooner


class Step(Migration):
    operations = (
        CreateModel(
            "Shelf",
            [
                ("id", models.BigAutoField(primary_key=True)),
                ("kind", models.CharField(max_length=9, choices=[("a", "A"), ("b", "B")])),
                ("marks", ArrayField(models.CharField(max_length=3), default=list)),
                ("kept_by", models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)),
            ],
        ),
        CreateModel(
            "Box",
            [
                ("id", models.BigAutoField(primary_key=True)),
                ("high", models.FloatField(validators=[MaxValueValidator(9)])),
            ],
        ),
        AddField("box", "shelf", models.ForeignKey("store.Shelf", models.CASCADE)),
    )


def tables(state: ProjectState) -> dict[str, list[Any]]:
    taken_apart = MigrationAutodetector(state, state).deep_deconstruct
    return {
        model._meta.label: [taken_apart(field) for field in model._meta.local_fields]
        for model in state.apps.get_models()
    }


def after_the_step() -> list[dict[str, list[Any]]]:
    """Go the step with the models at hand, as `migrate` does, and once more without."""
    with_models = ProjectState(real_apps={"accounts"})
    assert with_models.apps
    step = Step("0001_first", "store")
    return [tables(step.mutate_state(with_models)), tables(step.mutate_state(with_models))]


def test_models_have_the_same_fields() -> None:
    plain = after_the_step()
    with made_sooner():
        sooner = after_the_step()
    assert sooner == plain
    assert {"store.Shelf", "store.Box", "accounts.Staff"} <= plain[0].keys()


def test_no_field_within_a_field_is_shared() -> None:
    with made_sooner():
        state = Step("0001_first", "store").mutate_state(ProjectState(real_apps={"accounts"}))
        one, other = state.apps.get_model("store.Shelf"), state.clone()
        del other.apps
        again = other.apps.get_model("store.Shelf")
    inside = [model._meta.get_field("marks").base_field for model in (one, again)]
    assert inside[0] is not inside[1]
    assert [each.model for each in inside] == [one, again]


def test_django_is_as_it_was_afterward() -> None:
    named = (apps, "get_swappable_settings_name"), (models.Field, "clone")
    before = [getattr(owner, name) for owner, name in named]
    with made_sooner():
        assert vars(migrate)["MigrationExecutor"] is Executor
    assert [getattr(owner, name) for owner, name in named] == before
    assert vars(migrate)["MigrationExecutor"] is MigrationExecutor
    assert "get_swappable_settings_name" not in vars(apps)
