"""Fixtures of the tests of answers."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import Any

import pytest

from cases.answers import tasks
from cases.answers.models import Answer
from cases.models import Case
from tests.answers.decided import asked_answer, decided_request
from tests.packets.builders import make_clerk
from tests.packets.conftest import _signed_once, signed

__all__ = ["_signed_once", "signed"]


@pytest.fixture(scope="module")
def _built_once(made_once: Callable[..., Any], _signed_once: Case) -> Answer:
    def build() -> Answer:
        clerk = make_clerk()
        answer = asked_answer(decided_request(_signed_once, clerk), clerk)
        assert tasks.build_answer(request_id=str(answer.pk)) == "made"
        return Answer.objects.select_related("case", "request", "created_by").get(pk=answer.pk)

    return made_once(build)


@pytest.fixture
def answer(db: None, _built_once: Answer) -> Answer:
    """The answer of `signed` as the worker builds it, made once for the file."""
    return deepcopy(_built_once)
