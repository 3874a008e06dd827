"""Models of an earlier state come out the same when they are made in less time."""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.conf import settings
from django.contrib.postgres.fields import ArrayField
from django.core.management.commands import migrate
from django.core.validators import MaxValueValidator
from django.db import models
from django.db.migrations import (
    AddConstraint,
    AddField,
    AddIndex,
    AlterField,
    CreateModel,
    Migration,
    RemoveField,
    RemoveIndex,
)
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
        CreateModel(
            "Lid",
            [
                ("id", models.BigAutoField(primary_key=True)),
                ("box", models.ForeignKey("store.Box", models.CASCADE)),
                ("made_by", models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT)),
            ],
            {"constraints": [models.CheckConstraint(condition=models.Q(id__gt=0), name="counted")]},
        ),
        AddIndex("box", models.Index(fields=["high"], name="how_high")),
        AddIndex("lid", models.Index(fields=["box", "id"], name="lids_of_a_box")),
        AddConstraint("lid", models.UniqueConstraint(fields=["box"], name="one_lid")),
        # One of which nobody knows, and one to which another points.
        AddField("lid", "color", models.CharField(max_length=9, default="")),
        AddField("box", "color", models.CharField(max_length=9, default="")),
        AlterField("lid", "color", models.CharField(max_length=12, default="")),
        RemoveField("lid", "color"),
        RemoveIndex("lid", "lids_of_a_box"),
    )


def tables(state: ProjectState) -> dict[str, list[Any]]:
    taken_apart = MigrationAutodetector(state, state).deep_deconstruct
    found = {}
    for model in state.apps.get_models():
        meta = model._meta
        own = [*meta.local_fields, *meta.indexes, *meta.constraints, *meta.total_unique_constraints]
        found[meta.label] = [taken_apart(one) for one in own]
    return found


def pointed_to(state: ProjectState) -> dict[str, list[tuple[str, bool]]]:
    """Who points to each model, and whether to the model that stands among the others."""
    return {
        model._meta.label: sorted(
            (f"{one.related_model._meta.label}.{one.field.name}", one.field.related_model is model)
            for one in model._meta.related_objects
        )
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


def operation_by_operation() -> list[Any]:
    """Change one state as `migrate` does on its way forward, with what is seen after each."""
    state = ProjectState(real_apps={"accounts"})
    assert state.apps
    seen = []
    for operation in Step.operations:
        operation.state_forwards("store", state)
        seen.append((tables(state), pointed_to(state)))
    return seen


def test_models_know_the_same_of_each_other_after_each_operation() -> None:
    plain = operation_by_operation()
    with made_sooner():
        sooner = operation_by_operation()
    assert sooner == plain
    to_staff = {name for name, right in plain[-1][1]["accounts.Staff"] if right}
    assert {"store.Shelf.kept_by", "store.Lid.made_by"} <= to_staff
    assert len(plain[9][0]["store.Lid"]) == 4 + 1 + 2 + 1
    assert len(plain[-1][0]["store.Lid"]) == 3 + 0 + 2 + 1


def test_a_table_an_index_and_a_constraint_leave_the_other_models_as_they_are() -> None:
    state = ProjectState(real_apps={"accounts"})
    before = state.apps.get_model("accounts.Staff")
    with made_sooner():
        Step.operations[0].state_forwards("store", state)
        assert state.apps.get_model("accounts.Staff") is before
        # Whoever works with rows is given models that were made together.
        state.clear_delayed_apps_cache()
        assert state.apps.get_model("accounts.Staff") is not before


def test_a_column_makes_those_anew_that_point_to_its_model_and_no_others() -> None:
    state = ProjectState(real_apps={"accounts"})
    assert state.apps
    with made_sooner():
        for operation in Step.operations[:7]:
            operation.state_forwards("store", state)
        before = {model._meta.label: model for model in state.apps.get_models()}
        for operation, others in zip(Step.operations[7:9], (False, True), strict=True):
            operation.state_forwards("store", state)
            lid = state.apps.get_model("store.Lid")
            assert lid._meta.get_field("box").related_model is state.apps.get_model("store.Box")
            anew = {
                label for label, model in before.items() if state.apps.get_model(label) is not model
            }
            assert "store.Lid" in anew
            assert ("accounts.Staff" in anew) is ("store.Box" in anew) is others


def test_in_a_copy_of_a_state_a_table_is_known_to_those_to_which_it_points() -> None:
    with made_sooner():
        state = ProjectState(real_apps={"accounts"})
        assert state.apps
        state = state.clone()
        Step.operations[0].state_forwards("store", state)
    assert ("store.Shelf.kept_by", True) in pointed_to(state)["accounts.Staff"]


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
    named = (
        (apps, "get_swappable_settings_name"),
        (models.Field, "clone"),
        (ProjectState, "_append_option"),
        (ProjectState, "add_model"),
        (ProjectState, "_find_reload_model"),
    )
    before = [getattr(owner, name) for owner, name in named]
    with made_sooner():
        assert vars(migrate)["MigrationExecutor"] is Executor
    assert [getattr(owner, name) for owner, name in named] == before
    assert vars(migrate)["MigrationExecutor"] is MigrationExecutor
    assert "get_swappable_settings_name" not in vars(apps)
