"""How much of a specimen there is, in words: pure."""

from __future__ import annotations

from decimal import Decimal

import pytest

from evidence.specimens.models import Specimen


@pytest.mark.parametrize(
    ("amount", "unit", "words"),
    [
        (Decimal("1.00"), "pieces", "1 piece"),
        (Decimal("2.00"), "pieces", "2 pieces"),
        (Decimal("0.50"), "pieces", "0.5 pieces"),
        (Decimal("10.00"), "mL", "10 mL"),
        (Decimal("1.00"), "g", "1 g"),
        (Decimal("8.50"), "mL", "8.5 mL"),
        (None, "", ""),
    ],
)
def test_one_piece_is_no_pieces(amount: Decimal | None, unit: str, words: str) -> None:
    assert Specimen(amount=amount, unit=unit).amount_words == words
