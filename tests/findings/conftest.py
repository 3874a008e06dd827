"""Fixtures of the tests of findings."""

from __future__ import annotations

from typing import Any

import pytest

from tests.findings.builders import make_examination


@pytest.fixture
def examination(db: None) -> Any:
    """An examination that is open, of an open case."""
    return make_examination()
