"""Has the database hold which state of a record may follow which, after every migration.

The tables of moves stay in the rules, where the actions read them; what is here writes the same
tables into plain SQL triggers, for a statement that comes past the actions.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.apps import AppConfig
from django.db import connections
from django.db.models import Model
from django.db.models.signals import post_migrate

from me_office.audit import sql_files
from me_office.audit.triggers import Trigger, has_function, put_right

NAME = "state_moves"


def hold_moves(
    model: type[Model],
    moves: Mapping[Any, Iterable[Any]],
    first: Iterable[Any],
    *,
    using: str = "default",
) -> None:
    """Make the trigger of one table if it is missing or otherwise; safe to run again.

    `moves` is the table of the rules, `first` the states in which a new row may begin.
    """
    table = model._meta.db_table
    begins = ",".join(sorted(str(one) for one in first))
    allowed = ",".join(sorted(f"{was}>{to}" for was, after in moves.items() for to in after))
    statement = sql_files.trigger(NAME, table, begins=begins, allowed=allowed)
    connection = connections[using]
    if has_function(connection, NAME):
        put_right(connection, [Trigger(table, NAME, statement)])


def hold_moves_after_migrate(
    app: AppConfig, model: type[Model], moves: Mapping[Any, Iterable[Any]], *first: Any
) -> None:
    """Have `hold_moves` run after each migration of an app; asked for when the app is ready."""

    def hold(*, using: str = "default", **_: object) -> None:
        hold_moves(model, moves, first, using=using)

    post_migrate.connect(hold, sender=app, weak=False, dispatch_uid=f"moves {model._meta.label}")
