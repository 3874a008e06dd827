"""Facts about a row that every page asks for: made into SQL once, not again for each page."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from copy import copy
from decimal import Decimal
from itertools import count
from typing import Any, TypeAlias, TypeVar
from uuid import UUID, uuid4
from weakref import WeakKeyDictionary

from django.db import DEFAULT_DB_ALIAS, connection, connections
from django.db.models import JSONField, Model, QuerySet
from django.db.models.expressions import RawSQL
from django.db.transaction import TransactionManagementError

NAME = "prepared_facts"
# From so many characters on, the database takes longer to understand a statement than to answer it.
LONG = 2_000
# Of more than so many things the rows are asked for anew each time.
MOST_KEYS = 8
_numbers = count(1)
# By the driver's connection, which of them it was asked before: by what name it keeps it, or "".
_asked_before: WeakKeyDictionary[Any, dict[PreparedRows, str]] = WeakKeyDictionary()
RowT = TypeVar("RowT", bound=Model)
Facts: TypeAlias = Mapping[str, Any]
"""What was read beside a row, by name."""


class _AsWritten(json.JSONDecoder):
    """Reads a fraction with the digits that the database wrote."""

    def __init__(self, **options: Any) -> None:
        super().__init__(parse_float=Decimal, **options)


class Prepared:
    """Annotations of a model whose key is a UUID, to be read with one row; none of them is JSON.

    Django makes SQL of some dozens of subqueries in eight milliseconds, PostgreSQL answers in one.
    The annotations must depend on the row alone: what they hold from outside is as it was first.
    """

    def __init__(self, model: type[Model], annotations: Mapping[str, Any]) -> None:
        """Make the SQL; no database is asked."""
        key = uuid4()
        rows = model._default_manager.filter(pk=key).order_by().annotate(**annotations)
        query = rows.values(*annotations).query
        self.fields = {name: query.annotations[name].output_field for name in annotations}
        sql, self.params = query.sql_with_params()
        self.sql = f"(SELECT to_jsonb(facts) FROM ({sql}) AS facts)"  # noqa: S608 - Django's own
        [self.place] = [place for place, value in enumerate(self.params) if value == key]

    def expression(self, key: UUID) -> RawSQL:
        """Return what to annotate the row of this key with, under NAME."""
        params = [*self.params[: self.place], key, *self.params[self.place + 1 :]]
        return RawSQL(self.sql, params, output_field=JSONField(decoder=_AsWritten))  # noqa: S611

    def read_from(self, row: Model) -> Facts:
        """Take the facts off a row that was read so: each as an annotation would have it."""
        facts = getattr(row, NAME)
        delattr(row, NAME)
        return {name: field.to_python(facts[name]) for name, field in self.fields.items()}


class PreparedRows:
    """Rows that belong to something whose key is a UUID, or to several such.

    What they hold from outside is as it was first.
    """

    def __init__(self, rows_of: Callable[..., QuerySet[Any, Any]], *, keys: int = 1) -> None:
        """Make the SQL for so many keys; no database is asked."""
        self.keys = [uuid4() for _ in range(keys)]
        self.rows = rows_of(*self.keys)
        self.written: Any = self.rows.query.get_compiler(self.rows.db)
        self.sql, self.params = self.written.as_sql()
        self.table = self.rows.model._meta.db_table

    def tuples(self, *keys: UUID) -> list[tuple[Any, ...]]:
        """Read what belongs to the keys as the driver gives it, so JSON as the text that it is."""
        with connection.cursor() as cursor:
            if len(self.sql) < LONG:
                cursor.execute(self.sql, self._params(keys))
            else:
                self._ask_once_more(cursor, keys)
            return list(cursor.fetchall())

    def _ask_once_more(self, cursor: Any, keys: tuple[UUID, ...]) -> None:
        """Have the database keep what it understood, from the second time on one connection on."""
        before = _asked_before.setdefault(connection.connection, {})
        name = before.get(self)
        if name is None:
            cursor.execute(self.sql, self._params(keys))
            before[self] = ""
            return
        given = zip(self.keys, keys, strict=True)
        execute = ", ".join(f"'{UUID(str(key))}'" for _, key in given)
        if name:
            cursor.execute(f"EXECUTE {name} ({execute})")
            return
        # A name of its own for each try: what was kept by one that failed is kept all the same.
        name = f"{self.table}_{next(_numbers)}"
        kept = f"PREPARE {name} ({', '.join('uuid' for _ in keys)}) AS {self._numbered(cursor)}"
        cursor.execute(f"{kept}; EXECUTE {name} ({execute})")
        cursor.nextset()
        before[self] = name

    def _numbered(self, cursor: Any) -> str:
        """Return the statement with all that stands in it but the keys, which have numbers."""
        words: str = cursor.mogrify(self.sql, self.params)
        for number, key in enumerate(self.keys, start=1):
            words = words.replace(cursor.mogrify("%s", [key]), f"${number}")
        return words

    def objects(self, model: type[RowT], *keys: UUID) -> list[RowT]:
        """Read what belongs to the keys as objects, with all that the rows were asked for."""
        if self.rows.query.select_for_update and connection.get_autocommit():
            raise TransactionManagementError("Rows are locked within a transaction only.")
        written = copy(self.written)
        # The connection itself: what stands for it is asked again for each column.
        written.connection = connections[DEFAULT_DB_ALIAS]
        written.execute_sql = lambda *_, **__: [self.tuples(*keys)]
        rows = self.rows.all()
        query: Any = rows.query
        query.get_compiler = lambda *_, **__: written
        return list(rows)

    def one(self, model: type[RowT], *keys: UUID) -> RowT | None:
        """Read the first of them, or None."""
        return next(iter(self.objects(model, *keys)), None)

    def _params(self, keys: tuple[UUID, ...]) -> tuple[Any, ...]:
        given = dict(zip(self.keys, keys, strict=True))
        return tuple(
            given[value] if isinstance(value, UUID) and value in given else value
            for value in self.params
        )


class PreparedLists:
    """Rows that belong to any of several things whose keys are UUIDs, as of the cases of a request.

    What they hold from outside is as it was first.
    """

    def __init__(self, rows_of: Callable[[Sequence[UUID]], QuerySet[Any, Any]]) -> None:
        """Make no SQL yet: it is made when so many things are asked for first."""
        self.rows_of = rows_of
        self.of_so_many: dict[int, PreparedRows] = {}

    def objects(self, model: type[RowT], keys: Sequence[UUID]) -> list[RowT]:
        """Read what belongs to the keys as objects."""
        if not keys or len(keys) > MOST_KEYS:
            return list(self.rows_of(keys))
        prepared = self.of_so_many.get(len(keys))
        if prepared is None:
            prepared = PreparedRows(lambda *of: self.rows_of(of), keys=len(keys))
            self.of_so_many[len(keys)] = prepared
        return prepared.objects(model, *keys)


class PreparedBeside:
    """Rows that point at others of the same case, as marks at findings: put onto those.

    The others have them as `prefetch_related` gives them, whose SQL is made anew each time.
    """

    def __init__(self, name: str, rows: QuerySet[Any, Any]) -> None:
        """Note by which name the others have them; no database is asked."""
        self.name, self.rows = name, rows
        self.prepared = PreparedRows(lambda case_id: rows.filter(case=case_id))

    def put_onto(self, others: Sequence[Model], case_id: UUID) -> None:
        """Read those of a case; one statement, where there is anything that they could point at."""
        if not others:
            return
        field = getattr(type(others[0]), self.name).rel.field
        of: dict[Any, list[Any]] = {one.pk: [] for one in others}
        for row in self.prepared.objects(self.rows.model, case_id):
            of.get(getattr(row, field.attname), []).append(row)
        for one in others:
            held = getattr(one, self.name)._apply_rel_filters(self.rows.all())
            held._result_cache, held._prefetch_done = of[one.pk], True
            for row in of[one.pk]:
                field.set_cached_value(row, one)
            one.__dict__.setdefault("_prefetched_objects_cache", {})[self.name] = held
