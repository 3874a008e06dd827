"""Fixtures of the tests of measuring."""

from __future__ import annotations

from typing import Any

import pytest

from tests.builders import make_case
from tests.measuring.pictures import photograph_with_scale


@pytest.fixture
def photograph(vasko: Any) -> Any:
    """A photograph in a case, with a scale in it."""
    return photograph_with_scale(vasko, make_case())
