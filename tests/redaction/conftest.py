"""What most of these tests begin with."""

from __future__ import annotations

import io
import json

import pytest

from cases.redaction import reading
from cases.redaction.pdf import program
from tests.builders import make_case
from tests.redaction.builders import add_document, make_reason


@pytest.fixture(autouse=True)
def asked_here(request, monkeypatch):
    """The program that reads PDF, asked in this process; a test with `processes` starts it."""

    def run(given: io.BytesIO, waits: int) -> bytes:
        asked = json.loads(given.read(int(given.read(program.HEAD))))
        return program.as_sent(*program.answered(asked, given.read()))

    if "processes" not in request.fixturenames:
        monkeypatch.setattr(reading, "_run", run)


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
