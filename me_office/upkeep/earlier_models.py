"""The models of an earlier state, made in less time: each migration makes those of all the office.

Django takes every field apart again for each model that it makes of it, looks through all models
for each relation, makes nearly all anew for a new table, and for a column, an index or a
constraint of one, and on the way back keeps all models at hand where nothing asks for them.
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
from django.db.migrations.state import ModelState, ProjectState, StateApps
from django.db.models import Field, Model


@contextmanager
def made_sooner() -> Iterator[None]:
    """Let `migrate` make them in less time; what is made is the same."""
    # Which model may be swapped follows from the office's own, not from those of an earlier state.
    swappable = functools.cache(apps.get_swappable_settings_name)
    with (
        _instead(apps, "get_swappable_settings_name", swappable),
        _instead(Field, "clone", _cloning()),
        _instead(ProjectState, "_append_option", _appending()),
        _instead(ProjectState, "add_model", _adding()),
        _instead(ProjectState, "_find_reload_model", _finding()),
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


def _appending() -> Callable[[ProjectState, str, str, str, Any], None]:
    """Return how a model gets one more index or constraint: no other model knows of it."""
    plain = ProjectState._append_option  # type: ignore[attr-defined]

    def append_option(self: ProjectState, app: str, name: str, option: str, one: Any) -> None:
        if "apps" not in self.__dict__ or option not in {"indexes", "constraints"}:
            plain(self, app, name, option, one)
            return
        state = self.models[app, name]
        state.options[option] = [*state.options[option], one]
        of_model = self.apps.get_model(app, name)._meta
        named = of_model._format_names([one])
        setattr(of_model, option, [*getattr(of_model, option), *named])
        of_model.__dict__.pop("total_unique_constraints", None)

    return append_option


def _adding() -> Callable[[ProjectState, ModelState], None]:
    """Return how a table comes to others, which are left as they are: none of them points to it.

    Those to which it points are told of it where they look among the same models; where they do
    not, in a copy of a state, all are made anew. Before a migration works with rows, all are.
    """
    plain = ProjectState.add_model

    def add_model(self: ProjectState, model_state: ModelState) -> None:
        if "apps" not in self.__dict__ or not _stands_alone(model_state, self.apps):
            plain(self, model_state)
            return
        key = model_state.app_label, model_state.name_lower
        self.models[key] = model_state
        if self._relations is not None:  # type: ignore[attr-defined]
            self.resolve_model_relations(key)
        self.is_delayed = True
        self._reload({key})  # type: ignore[attr-defined]

    return add_model


def _finding() -> Callable[..., set[tuple[str, str]]]:
    """Return what is made anew where a model gets a column that points nowhere, or loses one.

    It is that model alone where no other points to it.
    """
    plain = ProjectState._find_reload_model  # type: ignore[attr-defined]

    def find(
        self: ProjectState, app_label: str, model_name: str, delay: bool = False
    ) -> set[tuple[str, str]]:
        key = app_label, model_name
        model = self.apps.all_models[app_label].get(model_name)
        alone = delay and _stands_alone(self.models[key], self.apps)
        if alone and model is not None and not _is_used(model, self.apps):
            self.is_delayed = True
            return {key}
        found: set[tuple[str, str]] = plain(self, app_label, model_name, delay)
        return found

    return find


def _is_used(model: type[Model], among: StateApps) -> bool:
    """Tell whether others may point to a model or rest on it."""
    return (
        model._meta.apps is not among
        or bool(model.__subclasses__())
        or any(field.model is not model for field in model._meta._relation_tree)  # type: ignore[attr-defined]
    )


def _stands_alone(model_state: ModelState, among: StateApps) -> bool:
    """Tell whether a table rests on no other and all to which it points look among these models."""
    if any(isinstance(base, str) for base in model_state.bases):
        return False
    for field in model_state.fields.values():
        if field.is_relation:
            to = field.related_model
            if not isinstance(to, str) or "." not in to or field.many_to_many:
                return False
            app, name = to.split(".")
            if among.all_models[app.lower()].get(name.lower()) is None:
                return False
            if among.get_model(app, name)._meta.apps is not among:
                return False
    return True


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
