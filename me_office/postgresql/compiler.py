"""What makes SQL of a query: the same words as Django's own, in less time.

A page's statements take longer to write than to answer. What is left out here changes no word of
them, which `tests/platform/test_statements_written.py` holds against Django's own compiler.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.core.exceptions import EmptyResultSet, FullResultSet
from django.db import connection
from django.db.backends.postgresql import compiler
from django.db.backends.postgresql.compiler import SQLInsertCompiler
from django.db.models import Field, ForeignKey, Model, Value
from django.db.models.constants import LOOKUP_SEP
from django.db.models.expressions import Col, ColPairs, OrderBy
from django.db.models.options import Options
from django.db.models.sql.compiler import (
    PositionRef,
    SQLAggregateCompiler,
    SQLDeleteCompiler,
    SQLUpdateCompiler,
)

__all__ = [
    "SQLAggregateCompiler",
    "SQLCompiler",
    "SQLDeleteCompiler",
    "SQLInsertCompiler",
    "SQLUpdateCompiler",
]

# Names of tables and columns as they stand in SQL.
_QUOTED: dict[str, str] = {}
# A table that is asked for more than once has a letter and a number for each further time.
_NUMBERED = re.compile(r"T\d+").fullmatch


class _StaysAsItIs(dict[type, bool]):
    """Whether a column of a kind of field is selected as it stands."""

    def __missing__(self, kind: type) -> bool:
        stays = self[kind] = getattr(kind, "select_format", None) is Field.select_format
        return stays


_stays_as_it_is = _StaysAsItIs()


class _TakenAsItIs(dict[type, bool]):
    """Whether of a kind of field no more than `from_db_value` is asked what it makes of a value."""

    def __missing__(self, kind: type) -> bool:
        asked = getattr(kind, "get_db_converters", None)
        taken = self[kind] = asked in (Field.get_db_converters, ForeignKey.get_db_converters)
        return taken


_taken_as_it_is = _TakenAsItIs()


class SQLCompiler(compiler.SQLCompiler):
    """Django's own compiler of what is read."""

    # Columns that were written before, by the identity of what stands for them.
    _known: dict[int, _Column] | None = None

    def quote_name_unless_alias(self, name: str) -> str:
        """Return the name as it stands in SQL; one that was refused is never among the known."""
        known: str | None = self.quote_cache.get(name)
        if known is not None:
            return known
        query = self.query
        if "$" in name or name in query.alias_map or name in query.external_aliases or query.extra:
            return super().quote_name_unless_alias(name)
        if (known := _QUOTED.get(name)) is None:
            known = _QUOTED[name] = self.connection.ops.quote_name(name)
        self.quote_cache[name] = known
        return known

    def compile(self, node: Any) -> tuple[str, Any]:
        """Make SQL of a column, which nearly every node is, without asking it how."""
        if node.__class__ is not Col:
            return super().compile(node)
        known: dict[str, str] = self.quote_cache
        column: str = node.target.column  # type: ignore[assignment]
        name = known.get(column) or self.quote_name_unless_alias(column)
        if not (alias := node.alias):
            return name, []
        return f"{known.get(alias) or self.quote_name_unless_alias(alias)}.{name}", []

    def get_default_columns(
        self,
        select_mask: Any,
        start_alias: str | None = None,
        opts: Any = None,
        from_parent: Any = None,
    ) -> list[Any]:
        """Take all columns of a model at once, where all are of its own table."""
        if not select_mask and (of := opts or self.query.get_meta()):
            alias = start_alias or self.query.get_initial_alias()
            if known := _of_one_table(of, alias):
                if not self.query.extra and not self.query.external_aliases:
                    self._known = {**self._known, **known} if self._known else known
                return [column.col for column in known.values()]
        return super().get_default_columns(select_mask, start_alias, opts, from_parent)

    def get_select(
        self, with_col_aliases: bool = False
    ) -> tuple[list[Any], dict[str, Any] | None, dict[str, int]]:
        """Select a model's columns, with those of what it points at, without asking each."""
        query = self.query
        usual = query.default_cols and query.selected is None and not query.extra
        mask = query.get_select_mask() if usual else {}
        cols = self.get_default_columns(mask) if usual and not with_col_aliases else []
        if not cols:
            return super().get_select(with_col_aliases)
        of: dict[str, Any] = {"model": query.model, "select_fields": list(range(len(cols)))}
        annotated = query.annotation_select
        places = {alias: place for place, alias in enumerate(annotated, start=len(cols))}
        select = [
            *((col, None) for col in cols),
            *((one, alias) for alias, one in annotated.items()),
        ]
        if query.select_related:
            of["related_klass_infos"] = self.get_related_selections(select, mask)
            _say_what_comes_from_a_parent(of)
        known = self._known or {}
        selected: list[Any] = []
        for one, alias in select:
            if (column := known.get(id(one))) and column.selected and not alias:
                selected.append(column.selected)
            else:
                selected.append((one, self._written(one), alias))
        return selected, of, places

    def get_related_selections(
        self,
        select: Any,
        select_mask: Any,
        opts: Any = None,
        root_alias: Any = None,
        cur_depth: int = 1,
        requested: Any = None,
        restricted: Any = None,
    ) -> list[dict[str, Any]]:
        """Go to what is named alone, instead of asking each field whether it is."""
        query: Any = self.query
        if opts is None:
            opts, root_alias = query.get_meta(), query.get_initial_alias()
        if requested is None and isinstance(query.select_related, dict):
            requested, restricted = query.select_related, True
        if restricted and requested is not None and not select_mask:
            if not requested:
                return []
            ways = _ways_on(opts)
            if all(name in ways for name in requested) and not query._filtered_relations:
                named = sorted((ways[name] for name in requested), key=lambda way: way.place)
                return [
                    self._selected_beside(select, way, root_alias, cur_depth, requested[way.name])
                    for way in named
                ]
        return super().get_related_selections(
            select, select_mask, opts, root_alias, cur_depth, requested, restricted
        )

    def _selected_beside(
        self, select: Any, way: _Way, root_alias: Any, cur_depth: int, beyond: Any
    ) -> dict[str, Any]:
        """Select the columns of what one way leads to, and of what is named beyond."""
        opts = way.leads_to._meta
        alias = self.query.setup_joins([way.name], way.opts, root_alias).joins[-1]
        columns = self.get_default_columns({}, alias, opts, way.opts.model if way.back else None)
        first = len(select)
        select.extend((col, None) for col in columns)
        return {
            **way.said,
            "select_fields": list(range(first, len(select))),
            "related_klass_infos": self.get_related_selections(
                select, {}, opts, alias, cur_depth + 1, beyond, True
            ),
        }

    def get_converters(self, expressions: Any) -> dict[int, Any]:
        """Look for what is made of the values read, and ask no column of which nothing is made."""
        converters: dict[int, Any] = {}
        connection = self.connection
        known = self._known or {}
        for place, expression in enumerate(expressions):
            if (column := known.get(id(expression))) and column.taken_as_it_is:
                continue
            if expression.__class__ is Col:
                field = expression.output_field
                if field is expression.target and _taken_as_it_is[field.__class__]:
                    if hasattr(field, "from_db_value"):
                        converters[place] = [field.from_db_value], expression
                    continue
            elif isinstance(expression, ColPairs):
                return super().get_converters(expressions)
            if expression and (made := expression.get_db_converters(connection)):
                converters[place] = made, expression
        return converters

    def _written(self, expression: Any) -> tuple[str, Any]:
        """Make SQL of what is selected, as Django does."""
        try:
            sql, params = self.compile(expression)
        except EmptyResultSet:
            empty = getattr(expression, "empty_result_set_value", NotImplemented)
            # Where nothing is said, a predicate that is always false.
            return ("0", ()) if empty is NotImplemented else self.compile(Value(empty))
        except FullResultSet:
            return self.compile(Value(True))
        written: tuple[str, Any] = expression.select_format(self, sql, params)
        return written

    def get_order_by(self) -> list[Any]:
        """Take what was written before, where the rows are ordered by columns of their own."""
        query = self.query
        names = self._names_ordered_by()
        if names is not None and not names:
            return []
        named_otherwise = query.annotations or any(alias for _, _, alias in self.select or ())
        if not names or named_otherwise or query.external_aliases:
            return super().get_order_by()
        opts = query.get_meta()
        own = query.get_initial_alias() == opts.db_table
        known = own and _ordered(opts, tuple(names), query.standard_ordering)
        return list(known) if known else super().get_order_by()

    # The types of Django say that nothing comes of it.
    def _order_by_pairs(self) -> Iterator[tuple[Any, bool]]:  # type: ignore[override]
        """Look for a field by its name alone where the rows are ordered by names alone.

        Django makes a key of every expression that is selected, to find one again that the rows are
        ordered by.
        """
        ordering = self._names_ordered_by()
        return super()._order_by_pairs() if ordering is None else self._by_names(ordering)  # type: ignore[return-value]

    def _by_names(self, ordering: Sequence[str]) -> Iterator[tuple[Any, bool]]:
        query = self.query
        default = "ASC" if query.standard_ordering else "DESC"
        selected: dict[str, tuple[Any, str, Any]] = {
            alias: (place, alias, expression)
            for place, (expression, _, alias) in enumerate(self.select or (), start=1)
            if alias
        }
        for field in ordering:
            name = field.removeprefix("-")
            if name in selected:
                back = (name != field) == query.standard_ordering
                yield OrderBy(PositionRef(*selected[name]), descending=back), True
            else:
                yield from self.find_ordering_name(field, query.get_meta(), default_order=default)

    def _names_ordered_by(self) -> Sequence[str] | None:
        """Return the names of fields and of what is selected; None if it is ordered otherwise."""
        query = self.query
        if query.combinator or query.extra_order_by or query.extra:
            return None
        ordering: Sequence[Any] = list(query.order_by)
        if not ordering and query.default_ordering and (meta := query.get_meta()):
            ordering = list(meta.ordering or ())
            if not all(isinstance(field, str) for field in ordering):
                return None
            if ordering:
                self._meta_ordering = ordering
        aliases = {alias for _, _, alias in self.select or () if alias}
        for field in ordering:
            if not isinstance(field, str) or field == "?":
                return None
            name = field.removeprefix("-")
            if name not in aliases and name.partition(LOOKUP_SEP)[0] in query.annotations:
                return None
        return ordering


@dataclass(frozen=True, slots=True)
class _Column:
    """A column of a model's table under one name of the table."""

    col: Col
    # As it is selected: the column, its words and what stands in them, and no other name.
    selected: tuple[Col, tuple[str, list[Any]], None] | None
    # Whether the value stays what the driver makes of it.
    taken_as_it_is: bool


@lru_cache(maxsize=2048)
def _of_one_table(opts: Options[Any], alias: str) -> dict[int, _Column]:
    """Return a model's columns by their identity; none where some are in a parent's table."""
    fields = opts.concrete_fields
    if any(field.model._meta.concrete_model != opts.model for field in fields):
        return {}
    columns = (_column(field, field.get_col(alias)) for field in fields)
    return {id(column.col): column for column in columns}


def _column(field: Any, col: Col) -> _Column:
    of = col.output_field
    own = of is col.target and _taken_as_it_is[of.__class__] and not hasattr(of, "from_db_value")
    plain = _stays_as_it_is[of.__class__] and (words := _words_of(col))
    return _Column(col, (col, (words, []), None) if plain else None, own)


def _words_of(col: Col) -> str:
    """Write a column of a table that has its own name or a number; nothing if it has another."""
    table, alias, column = col.target.model._meta.db_table, str(col.alias), str(col.target.column)
    if (alias != table and not _NUMBERED(alias)) or "$" in table + column:
        return ""
    quoted = connection.ops.quote_name
    return f"{quoted(table) if alias == table else alias}.{quoted(column)}"


@dataclass(frozen=True, slots=True)
class _Way:
    """A field of a model that points at another row, or by which one other row points at it."""

    opts: Options[Any]
    name: str
    place: int
    leads_to: type[Model]
    back: bool
    # As Django says it of what is selected beside.
    said: dict[str, Any]


@lru_cache(maxsize=512)
def _ways_on(opts: Options[Any]) -> dict[str, _Way]:
    """Return by name what may be selected beside a model, in the order in which Django does."""
    ways: dict[str, _Way] = {}
    field: Any
    for field in opts.fields:
        if field.remote_field and not getattr(field.remote_field, "parent_link", False):
            to: Any = field.remote_field.model
            set_back = field.remote_field.set_cached_value if field.unique else _nothing
            said = _said(to, field, False, field.set_cached_value, set_back)
            ways[field.name] = _Way(opts, field.name, len(ways), to, False, said)
    for there in opts.related_objects:
        field, model = there.field, there.related_model
        if field.unique and not there.many_to_many and not getattr(field, "parent_link", False):
            name = field.related_query_name()
            said = _said(model, field, True, there.set_cached_value, field.set_cached_value)
            said["from_parent"] = issubclass(model, opts.model) and model is not opts.model
            # One that is named otherwise than it is asked for is left to Django.
            if name == there.name and name not in ways:
                ways[name] = _Way(opts, name, len(ways), model, True, said)
    return ways


def _said(model: Any, field: Any, back: bool, here: Any, there: Any) -> dict[str, Any]:
    return {
        "model": model,
        "field": field,
        "reverse": back,
        "local_setter": here,
        "remote_setter": there,
        "from_parent": False,
    }


def _nothing(_row: Any, _beside: Any) -> None:
    """Do nothing: of several rows that point at one, that one knows none."""


@lru_cache(maxsize=2048)
def _ordered(opts: Options[Any], names: tuple[str, ...], forward: bool) -> tuple[Any, ...]:
    """Write an order by columns of a model's own table; nothing if it is by anything else."""
    fields = {field.name: field for field in opts.concrete_fields if not field.is_relation}
    if any(field.model._meta.concrete_model != opts.model for field in opts.concrete_fields):
        return ()
    ordered: dict[str, Any] = {}
    for one in names:
        name = one.removeprefix("-")
        field = opts.pk if name == "pk" else fields.get(name)
        if field is None or field.is_relation:
            return ()
        col = field.get_col(opts.db_table)
        if not (words := _words_of(col)):
            return ()
        back = (name != one) == forward
        written = f"{words} {'DESC' if back else 'ASC'}", (), False
        ordered.setdefault(words, (OrderBy(col, descending=back), written))
    return tuple(ordered.values())


def _say_what_comes_from_a_parent(of: dict[str, Any]) -> None:
    for each in of["related_klass_infos"]:
        if each["from_parent"]:
            each["select_fields"] = of["select_fields"] + each["select_fields"]
        _say_what_comes_from_a_parent(each)
