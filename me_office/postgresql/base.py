"""The connection: Django's own, with the office's compiler."""

from __future__ import annotations

from django.db.backends.postgresql import base, operations


class DatabaseOperations(operations.DatabaseOperations):
    """Django's own, which finds the compilers of this package."""

    compiler_module = "me_office.postgresql.compiler"


class DatabaseWrapper(base.DatabaseWrapper):
    """Django's own connection to PostgreSQL."""

    ops_class = DatabaseOperations
