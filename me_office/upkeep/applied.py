"""Which migrations a database has gone, beside those that this code knows."""

from __future__ import annotations

from django.apps import apps
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

# What was found of a database that had gone these: the code does not change while it runs, and to
# read all migrations costs a part of a second.
_found: tuple[frozenset[tuple[str, str]], list[str], list[str]] | None = None


def standing(connection: BaseDatabaseWrapper) -> tuple[list[str], list[str]]:
    """Return what is due and what is unknown; costs one statement where nothing has changed."""
    global _found
    gone = frozenset(MigrationRecorder(connection).applied_migrations())
    known = _found
    if known is None or known[0] != gone:
        known = _found = (gone, due(connection), unknown(connection))
    return known[1], known[2]


def due(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the migrations that this code has and the database has not gone, in order."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return [f"{migration.app_label}.{migration.name}" for migration, _ in plan]


def unknown(connection: BaseDatabaseWrapper) -> list[str]:
    """Return the migrations that the database has gone and this code does not have.

    Then a newer version has been here: what it writes, this one would not understand.
    """
    loader = MigrationExecutor(connection).loader
    former = _former_labels()
    return sorted(
        f"{app}.{name}"
        for app, name in loader.applied_migrations.keys() - loader.disk_migrations
        if app not in former
    )


def _former_labels() -> set[str]:
    """Return the labels of apps that have another one now: what they have gone is older."""
    labels = {
        model.formerly.partition(".")[0]
        for model in apps.get_models()
        if hasattr(model, "formerly")
    }
    return labels - {config.label for config in apps.get_app_configs()}
