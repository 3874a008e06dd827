"""What the line of a job says of its answer and its record: the office's own words and keys."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from me_office.logs import jobs

KEY = "0198f3aa-1c2d-7e3f-8a4b-5c6d7e8f9a0b"


@pytest.fixture
def ended(monkeypatch: pytest.MonkeyPatch) -> Any:
    """End a job; return what its line holds."""
    told: list[dict[str, Any]] = []
    log = SimpleNamespace(info=lambda *_, extra: told.append(extra["fields"]))
    monkeypatch.setattr(jobs, "log", log)

    def end(**how: object) -> dict[str, Any]:
        task = SimpleNamespace(name="tasks.make")
        jobs._end(task_id="never-begun", task=task, state="SUCCESS", **how)
        return told.pop()

    return end


@pytest.mark.parametrize("answer", ["made", "not due", "a" * 20, 0, 3])
def test_how_it_came_out_is_told_in_the_office_s_words(ended: Any, answer: object):
    assert ended(retval=answer)["outcome"] == answer


@pytest.mark.parametrize(
    "answer", ["Hallstead", "made for hallstead, j.", "a" * 21, "case 4", "", None, ["made"]]
)
def test_an_answer_that_may_hold_a_value_is_not_told(ended: Any, answer: object):
    assert "outcome" not in ended(retval=answer)


@pytest.mark.parametrize(
    ("given", "of"),
    [
        ({"name": "Hallstead", "photograph_id": KEY}, KEY),
        ({"first": KEY, "second": KEY[::-1]}, KEY),
        ({"name": f"{KEY} Hallstead"}, None),
        ({}, None),
        (None, None),
    ],
)
def test_of_what_it_was_given_only_a_key_is_told(ended: Any, given: Any, of: str | None):
    assert ended(kwargs=given).get("of") == of
