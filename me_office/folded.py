"""The tables that a chain of migrations ends with, for an office that begins with nothing.

A migration that replaces others makes these at once. They are read from those others, which stay
as they are for every office that began with them, so that nothing is written down twice.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from graphlib import TopologicalSorter
from importlib import import_module

from django.db.migrations.operations import CreateModel
from django.db.migrations.state import ModelState, ProjectState


def folded(package: str, names: Sequence[str]) -> list[CreateModel]:
    """Return one operation for each table as the last of the named migrations leaves it.

    `package` is the dotted path of an app's migrations. What the steps do to rows, triggers and
    functions is not among it: there are no rows yet, and the caller says which SQL is still due.
    A table comes after those of the same app that it refers to.
    """
    state, label = ProjectState(), package.split(".")[-2]
    for name in names:
        step = import_module(f"{package}.{name}").Migration(name, label)
        state = step.mutate_state(state, preserve=False)
    models = {name: model for (_, name), model in state.models.items()}
    order = TopologicalSorter({name: set(_refers_to(models[name])) for name in models})
    return [_made(models[name]) for name in order.static_order()]


def _refers_to(model: ModelState) -> Iterator[str]:
    """Yield the names of the app's other models that a table points at, or continues."""
    pointed = [field.remote_field.model for field in model.fields.values() if field.remote_field]
    for other in (*pointed, *model.bases):
        label, _, name = str(other).lower().partition(".")
        if label == model.app_label and name != model.name_lower:
            yield name


def _made(model: ModelState) -> CreateModel:
    options = {key: value for key, value in model.options.items() if value != []}
    return CreateModel(model.name, list(model.fields.items()), options, model.bases, model.managers)
