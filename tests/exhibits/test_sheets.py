"""Whether a printed page lies on its side."""

from __future__ import annotations

import pytest

from cases.exhibits.sheets import lies_wide

WIDE, HIGH, SQUARE = (3000, 2000), (2000, 3000), (2000, 2000)


@pytest.mark.parametrize(
    ("sizes", "columns", "wide"),
    [
        ([WIDE], 1, True),
        ([HIGH], 1, False),
        ([SQUARE], 1, False),
        # The line of the number takes more of a page that lies on its side.
        ([(2080, 2000)], 1, False),
        ([(2160, 2000)], 1, True),
        ([HIGH, HIGH], 2, True),
        ([WIDE, WIDE], 2, True),
        ([(1000, 3000)] * 2, 2, False),
        ([HIGH] * 4, 2, False),
        ([WIDE] * 4, 2, True),
        ([WIDE] * 6, 3, True),
        ([WIDE, (1000, 9000)], 2, True),
    ],
)
def test_a_page_lies_on_its_side_where_the_pictures_are_larger_so(sizes, columns, wide):
    assert [lies_wide(sizes, columns=columns, paper=paper) for paper in ("us-letter", "a4")] == [
        wide, wide,
    ]  # fmt: skip
