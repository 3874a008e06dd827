"""What makes SQL of a query: the same words as Django's own, in less time.

A page's statements take longer to write than to answer. What is left out here changes no word of
them, which `tests/platform/test_statements_written.py` holds against Django's own compiler.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from django.db.backends.postgresql import compiler
from django.db.backends.postgresql.compiler import SQLInsertCompiler
from django.db.models.sql.compiler import (
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


class SQLCompiler(compiler.SQLCompiler):
    """Django's own compiler of what is read."""

    def quote_name_unless_alias(self, name: str) -> str:
        """Return the name as it stands in SQL; one that was refused is never among the known."""
        known: str | None = self.quote_cache.get(name)
        return super().quote_name_unless_alias(name) if known is None else known

    # The types of Django say that nothing comes of it.
    def _order_by_pairs(self) -> Iterator[tuple[Any, bool]]:  # type: ignore[override]
        """Look for a field among what is selected only where it could be found there.

        Django makes a key of every column that is selected, to find an expression again that the
        rows are ordered by. A field's name is found among the aliases alone.
        """
        if self._orders_by_names() and not any(alias for *_, alias in self.select or ()):
            selected, self.select = self.select, None
            try:
                yield from self._pairs()
            finally:
                self.select = selected
        else:
            yield from self._pairs()

    def _pairs(self) -> Iterator[tuple[Any, bool]]:
        return super()._order_by_pairs()  # type: ignore[return-value]

    def _orders_by_names(self) -> bool:
        query = self.query
        if query.combinator or query.extra_order_by:
            return False
        ordering: Sequence[Any] | None = query.order_by
        if not ordering and query.default_ordering and (meta := query.get_meta()):
            ordering = meta.ordering
        return all(isinstance(field, str) for field in ordering or ())
