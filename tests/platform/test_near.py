"""A quick run begins with what is near the change, leaves nothing out, and says how it went."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from tests import near

ROOMS = {"cases", "custody", "evidence", "findings", "platform", "shell"}


@pytest.mark.parametrize(
    ("path", "room"),
    [
        ("evidence/custody/actions.py", "custody"),
        ("evidence/store/local.py", "evidence"),
        ("findings/chart/templates/findings/chart.html", "findings"),
        ("me_office/shell/static/shell/js/keys.js", "shell"),
        ("me_office/settings.py", "platform"),
        ("README.md", "platform"),
        ("tests/custody/builders.py", "custody"),
        ("tests/custody/conftest.py", "custody"),
        ("tests/custody/test_seals.py", None),
        ("tests/builders.py", None),
    ],
)
def test_what_was_changed_has_a_room_of_tests(path, room):
    assert near.room_of(path, ROOMS) == room


@pytest.mark.parametrize(
    ("path", "said", "uses"),
    [
        ("cases/rules/intake.py", "from cases.rules.intake import read\n", True),
        ("cases/rules/intake.py", "from cases.rules import case, intake\n", True),
        ("cases/rules/intake.py", "import cases.rules.intake\n", True),
        ("cases/rules/intake.py", "from cases.rules.intake_forms import read\n", False),
        ("cases/rules/intake.py", "from cases.rules import case\n", False),
        ("cases/rules/__init__.py", "from cases.rules import case\n", True),
        ("cases/__init__.py", "import cases\n", True),
        ("cases/templates/cases/board.html", '"cases/board.html"', True),
        ("cases/templates/cases/board.html", '"findings/board.html"', False),
        ("tests/builders.py", "from tests.builders import make_case\n", True),
        ("cases/static/cases/board.css", "board.css", False),
    ],
)
def test_a_file_that_names_what_was_changed_is_near(tmp_path, monkeypatch, path, said, uses):
    monkeypatch.setattr(near, "ROOT", tmp_path)
    (tmp_path / "tests/far").mkdir(parents=True)
    (tmp_path / "tests/far/test_it.py").write_text(said)
    assert near.near([path], ["tests/far/test_it.py"]) == (
        {"tests/far/test_it.py"} if uses else set()
    )


def test_a_changed_test_file_is_near_by_itself_and_its_room_is_not():
    files = ["tests/platform/test_near.py", "tests/platform/test_kinds.py"]
    assert near.near(["tests/platform/test_near.py"], files) == {files[0]}


def _tests(*names: str) -> list[Any]:
    return [SimpleNamespace(nodeid=name) for name in names]


def test_the_near_ones_come_first_and_nothing_is_left_out_or_else_moved():
    far = "tests/platform/test_kinds.py::"
    by_itself = "tests/platform/test_near.py::"
    items = _tests(far + "b", far + "a", by_itself + "b", by_itself + "a", far + "c")
    told = SimpleNamespace(workerinput={"changed": ["tests/platform/test_near.py"]})
    b, a, near_b, near_a, c = items
    assert near.first(told, items) == [near_b, near_a, b, a, c]  # type: ignore[arg-type]
    assert near.first(SimpleNamespace(), items) == items  # type: ignore[arg-type]


@pytest.mark.parametrize(("outcome", "told"), [("passed", "all passed"), ("failed", "1 failed")])
def test_it_is_said_once_how_the_near_ones_went_when_the_last_is_through(
    monkeypatch, outcome, told
):
    said: list[str] = []
    monkeypatch.setattr(near, "changed", lambda: ["tests/platform/test_near.py"])
    terminal = SimpleNamespace(ensure_newline=lambda: None, write_line=said.append)
    plugins = SimpleNamespace(get_plugin=lambda name: terminal)
    listening = near._Near(SimpleNamespace(pluginmanager=plugins))  # type: ignore[arg-type]
    far, *ours = (
        "tests/platform/test_kinds.py::a", "tests/platform/test_near.py::a",
        "tests/platform/test_near.py::b",
    )  # fmt: skip
    listening.pytest_xdist_node_collection_finished([far, *ours])

    def ends(nodeid: str, outcome: str = "passed") -> None:
        report: Any = SimpleNamespace(nodeid=nodeid, outcome=outcome)
        listening.pytest_runtest_logreport(report)

    ends(ours[1], outcome)
    ends(far)
    assert said == []
    ends(ours[0])
    ends(ours[1])
    (line,) = said
    assert line.startswith(f"Near what was changed: 2 tests, {told}, after ")


def test_what_is_not_committed_is_told_or_else_what_the_last_commit_changed(monkeypatch):
    monkeypatch.setattr(
        near, "_told_by", lambda asked: [] if asked == near.NOT_COMMITTED else ["a"]
    )
    assert near.changed() == ["a"]
    monkeypatch.setattr(near, "_told_by", lambda asked: [str(len(asked))])
    assert near.changed() == ["2"]


@pytest.mark.usefixtures("processes")
def test_where_there_is_no_clone_nothing_is_near(tmp_path, monkeypatch):
    monkeypatch.setattr(near, "ROOT", tmp_path)
    assert near.changed() == []
    monkeypatch.setenv("PATH", "")
    assert near.changed() == []
