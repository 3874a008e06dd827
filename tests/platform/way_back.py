"""An office as it was before some steps: for tests that go forward again."""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.db import connection
from django.db.migrations import operations
from django.db.migrations.executor import MigrationExecutor


def go_back(*targets: tuple[str, str | None]) -> None:
    """Take back what came after these steps, the latest first; of an app without a name, all.

    `migrate` makes the models of the whole office several times for each step on its way back.
    Here they are the office's own, which is right for tables, columns, indexes and constraints
    that are there today; what else a step may do is not taken back but refused.
    """
    executor = MigrationExecutor(connection)
    for step, backwards in executor.migration_plan(list(targets)):
        assert backwards, f"{step} is not there yet"
        for operation in reversed(step.operations):
            _take_back(operation, step, executor)
        executor.recorder.record_unapplied(step.app_label, step.name)


def _take_back(operation: Any, step: Any, executor: MigrationExecutor) -> None:
    name = getattr(operation, "model_name", None) or operation.name
    model = apps.get_model(step.app_label, name)
    with connection.schema_editor(atomic=False) as editor:
        match operation:
            case operations.CreateModel():
                editor.delete_model(model)
            case operations.AddField():
                editor.remove_field(model, model._meta.get_field(operation.name))
            case operations.AlterField():
                before = executor.loader.project_state((step.app_label, step.name), at_end=False)
                was = before.models[step.app_label, name.lower()].fields[operation.name].clone()
                was.set_attributes_from_name(operation.name)
                was.model = model
                editor.alter_field(model, model._meta.get_field(operation.name), was)
            case operations.AddIndex():
                editor.remove_index(model, operation.index)
            case operations.AddConstraint():
                editor.remove_constraint(model, operation.constraint)
            case _:
                raise NotImplementedError(operation.describe())
