"""What makes SQL of a query: the same words as Django's own, in less time.

A page's statements take longer to write than to answer. What is left out here changes no word of
them, which `tests/platform/test_statements_written.py` holds against Django's own compiler.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Any

from django.core.exceptions import EmptyResultSet, FullResultSet
from django.db.backends.postgresql import compiler
from django.db.backends.postgresql.compiler import SQLInsertCompiler
from django.db.models import Field, ForeignKey, Value
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
        if not select_mask and not from_parent and (of := opts or self.query.get_meta()):
            fields, cols = _of_one_table(of)
            if fields:
                alias = start_alias or self.query.get_initial_alias()
                if alias == of.db_table:
                    return list(cols)
                return [field.get_col(alias) for field in fields]
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
        written = self.compile
        selected = []
        for one, alias in select:
            plain = one.__class__ is Col and _stays_as_it_is[type(one.output_field)]
            selected.append((one, written(one) if plain else self._written(one), alias))
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
        """Go no further where nothing is named beyond, instead of asking each field for it."""
        if restricted and requested is not None and not requested:
            return []
        return super().get_related_selections(
            select, select_mask, opts, root_alias, cur_depth, requested, restricted
        )

    def get_converters(self, expressions: Any) -> dict[int, Any]:
        """Look for what is made of the values read, and ask no column of which nothing is made."""
        converters: dict[int, Any] = {}
        connection = self.connection
        for place, expression in enumerate(expressions):
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


@lru_cache(maxsize=512)
def _of_one_table(opts: Options[Any]) -> tuple[tuple[Any, ...], tuple[Any, ...]]:
    """Return a model's fields and their columns; none where some are in a parent's table."""
    fields = tuple(opts.concrete_fields)
    if any(field.model._meta.concrete_model != opts.model for field in fields):
        return (), ()
    return fields, tuple(field.get_col(opts.db_table) for field in fields)


def _say_what_comes_from_a_parent(of: dict[str, Any]) -> None:
    for each in of["related_klass_infos"]:
        if each["from_parent"]:
            each["select_fields"] = of["select_fields"] + each["select_fields"]
        _say_what_comes_from_a_parent(each)
