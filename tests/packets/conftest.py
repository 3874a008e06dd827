"""Fixtures of the tests of packets."""

from __future__ import annotations

from typing import Any

import pytest


@pytest.fixture
def signed_in(client: Any, clerk: Any) -> Any:
    """The records clerk's browser."""
    client.force_login(clerk)
    return client
