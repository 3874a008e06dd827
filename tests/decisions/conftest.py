"""Fixtures of the tests of decisions on what may go out."""

from __future__ import annotations

from typing import Any

import pytest

from cases.court.models import Demand
from cases.decisions.models import Ground
from tests.decisions.builders import demand_in, ground_numbered, photographed, reaching, request_for


@pytest.fixture
def signed_in(client: Any, clerk: Any) -> Any:
    """The records clerk's browser."""
    client.force_login(clerk)
    return client


@pytest.fixture
def demand(clerk: Any, vasko: Any) -> Demand:
    """A demand that reaches three photographs: of a road, of somebody living, not described."""
    made = demand_in(request_for(photographed(vasko), clerk), clerk)
    reaching(made, clerk, "photograph")
    return made


@pytest.fixture
def ground(clerk: Any) -> Ground:
    """The fourth ground of the office's list."""
    return ground_numbered(4, clerk)
