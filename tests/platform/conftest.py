"""What the tests of the platform share."""

from __future__ import annotations

import pytest
from django.contrib.postgres.operations import AddIndexConcurrently
from django.db.migrations import AddIndex


@pytest.fixture
def beside_nobody(monkeypatch):
    """Make the indexes of steps within a test's transaction, where nobody else waits for them."""
    for way in ("database_forwards", "database_backwards"):
        monkeypatch.setattr(AddIndexConcurrently, way, getattr(AddIndex, way))
