"""How the pictures of an exhibit lie on a printed page. No database."""

from __future__ import annotations

from collections.abc import Sequence

# In points: the papers upright (A4 by ISO 216), the margin all round, the line of the number.
PAPERS = {"us-letter": (612.0, 792.0), "a4": (595.3, 841.9)}
MARGIN = 36.0
NUMBER_LINE = 34.0


def lies_wide(sizes: Sequence[tuple[int, int]], *, columns: int, paper: str) -> bool:
    """Tell whether these pictures, in their grid, are larger on a page that lies on its side."""
    across, down = PAPERS[paper]
    return _area(sizes, columns, down, across) > _area(sizes, columns, across, down)


def _area(sizes: Sequence[tuple[int, int]], columns: int, across: float, down: float) -> float:
    rows = -(-len(sizes) // columns)
    width = (across - 2 * MARGIN) / columns
    height = (down - 2 * MARGIN - NUMBER_LINE) / rows
    return sum(own * other * min(width / own, height / other) ** 2 for own, other in sizes)
