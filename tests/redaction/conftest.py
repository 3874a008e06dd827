"""What most of these tests begin with."""

from __future__ import annotations

import pytest

from cases.redaction import reading
from tests.builders import make_case
from tests.redaction.builders import add_document, answered_here, make_reason


@pytest.fixture(autouse=True)
def asked_here(request, monkeypatch):
    """The program that reads PDF, asked in this process; a test with `processes` starts it."""
    if "processes" not in request.fixturenames:
        monkeypatch.setattr(reading, "_run", answered_here)


@pytest.fixture
def case(vasko):
    """An open case of the pathologist's."""
    return make_case(by=vasko)


@pytest.fixture
def letter(clerk, case):
    """A letter of two pages that may go out."""
    return add_document(clerk, case)


@pytest.fixture
def why(clerk):
    """A reason of the office's list."""
    return make_reason(clerk)
