"""The models of an earlier state, made in less time: each migration makes those of all the office.

Django takes every field apart again for each model that it makes of it, looks through all models
for each relation, and on the way back keeps all models at hand where nothing asks for them.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.apps import apps
from django.core.management.commands import migrate
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.migration import Migration
from django.db.migrations.state import ProjectState
from django.db.models import Field


@contextmanager
def made_sooner() -> Iterator[None]:
    """Let `migrate` make them in less time; what is made is the same."""
    # Which model may be swapped follows from the office's own, not from those of an earlier state.
    swappable = functools.cache(apps.get_swappable_settings_name)
    with (
        _instead(apps, "get_swappable_settings_name", swappable),
        _instead(Field, "clone", _cloning()),
        _instead(migrate, "MigrationExecutor", Executor),
    ):
        yield


class Executor(MigrationExecutor):
    """Django's own, which on the way back makes models only for what is taken back."""

    def _migrate_all_backwards(self, plan: Any, full_plan: Any, fake: bool) -> ProjectState:
        plain = Migration.mutate_state

        def mutate_state(
            migration: Migration, state: ProjectState, preserve: bool = True
        ) -> ProjectState:
            if not preserve:
                state.__dict__.pop("apps", None)
            return plain(migration, state, preserve)

        with _instead(Migration, "mutate_state", mutate_state):
            back: ProjectState = super()._migrate_all_backwards(plan, full_plan, fake)  # type: ignore[misc]
            return back


def _cloning() -> Callable[[Field[Any, Any]], Field[Any, Any]]:
    """Return how a field is made once more, which takes each apart once.

    A field of a state is changed by nobody: another takes its place.
    """
    known: dict[int, tuple[Field[Any, Any], Any, Any]] = {}

    def clone(self: Field[Any, Any]) -> Field[Any, Any]:
        if (found := known.get(id(self))) is None:
            _, _, args, kwargs = self.deconstruct()
            found = (self, args, kwargs)
            # A field within a field belongs to one alone.
            if not any(isinstance(value, Field) for value in (*args, *kwargs.values())):
                known[id(self)] = found
        _, args, kwargs = found
        return type(self)(*args, **kwargs)

    return clone


@contextmanager
def _instead(owner: Any, name: str, value: object) -> Iterator[None]:
    own = name in vars(owner)
    before = getattr(owner, name)
    setattr(owner, name, value)
    try:
        yield
    finally:
        if own:
            setattr(owner, name, before)
        else:
            delattr(owner, name)
