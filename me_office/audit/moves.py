"""Has the database hold which state of a record may follow which, after every migration.

The tables of moves stay in the rules, where the actions read them, and a model says which is its
own (`state_moves`); what is here writes the same tables into plain SQL triggers, for a statement
that comes past the actions.
"""

from __future__ import annotations

from typing import Any

from django.db import connections

from me_office.audit import sql_files
from me_office.audit.guard import models_that
from me_office.audit.triggers import Trigger, has_function, put_right

NAME = "state_moves"


def hold_moves(model: type[Any], *, using: str = "default") -> None:
    """Make the trigger of one table if it is missing or otherwise; safe to run again.

    A new row begins in the state that its column has by default.
    """
    table, moves = model._meta.db_table, model.state_moves
    begins = str(model._meta.get_field("state").get_default())
    allowed = ",".join(sorted(f"{was}>{to}" for was, after in moves.items() for to in after))
    statement = sql_files.trigger(NAME, table, begins=begins, allowed=allowed)
    connection = connections[using]
    if has_function(connection, NAME):
        put_right(connection, [Trigger(table, NAME, statement)])


def hold_all_moves(*, using: str = "default", **_: object) -> None:
    """Have every table hold the moves that its model names; run after each migration."""
    for model in models_that("state_moves"):
        hold_moves(model, using=using)
