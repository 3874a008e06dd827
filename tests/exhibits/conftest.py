"""What most of these tests begin with."""

from __future__ import annotations

import pytest

from tests.builders import make_case
from tests.exhibits.builders import make_set


@pytest.fixture
def case(vasko):
    """An open case of the pathologist's."""
    return make_case(by=vasko)


@pytest.fixture
def trial(vasko, case):
    """A set of exhibits with nothing in it."""
    return make_set(vasko, case)


@pytest.fixture
def desk(client, clerk):
    """The records clerk's browser."""
    client.force_login(clerk)
    return client
