"""What most of these tests begin with."""

from __future__ import annotations

import pytest

from tests.builders import make_case


@pytest.fixture
def case(vasko):
    """An open case of the pathologist's."""
    return make_case(by=vasko)
