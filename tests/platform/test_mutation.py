"""The run of small changes sees what it should, and no pure module is left out of it."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from tests.mutation.__main__ import LEFT, kept, make_changes, score, tried

MODULE = """
from functools import cache
from threading import Event

LETTERS = "a"


def larger(one, other):
    return one if one > other else other


def counted_down(count):
    while count:
        count -= 1
    return count


def waited():
    return Event().wait(timeout=0)


def never_called():
    return 1


def limit():
    return 3


def first():
    return LETTERS[0]


def built():
    return 4


@cache
def remembered():
    return built()


LIMIT = limit()
FIRST = first()
"""
TESTS = """
from office import sums


def test_the_larger():
    assert sums.larger(1, 2) == 2


def test_counting_ends():
    assert sums.counted_down(2) == 0


def test_waiting_ends():
    assert not sums.waited()


def test_the_limit():
    assert sums.LIMIT == 3


def test_what_is_remembered():
    assert sums.remembered() == 4
"""
FAILING = "from office import fails\n\n\ndef test_it():\n    assert fails.one() == 2\n"
SETTINGS = """
[tool.pytest.ini_options]
testpaths = ["tests"]
[tool.mutmut]
source_paths = ["office"]
"""


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory, processes: None) -> Path:
    root = tmp_path_factory.mktemp("changed")
    for name, text in {
        "pyproject.toml": SETTINGS,
        "office/__init__.py": "",
        "office/sums.py": MODULE,
        "office/fails.py": "def one():\n    return 1\n",
        "tests/test_sums.py": TESTS,
        "tests/test_fails.py": FAILING,
    }.items():
        (root / name).parent.mkdir(exist_ok=True)
        (root / name).write_text(text)
    # Both are changed, also the one that was only copied the first time.
    (root / "pyproject.toml").write_text(SETTINGS + 'do_not_mutate = ["office/fails.py"]')
    make_changes(root)
    (root / "pyproject.toml").write_text(SETTINGS)
    make_changes(root)
    return root


@pytest.fixture(scope="module")
def answers(project: Path) -> dict[str, dict]:
    modules = {"office.sums": ("tests/test_sums.py",), "office.fails": ("tests/test_fails.py",)}
    no_django = {"DJANGO_SETTINGS_MODULE": ""}
    said = tried(project, modules, at_once=4, spare=1, longest=2, settings=no_django)
    return {answer["module"]: answer for answer in said}


def noticed(answers: dict[str, dict], function: str) -> set[bool]:
    """Whether changes of a function were noticed."""
    codes = answers["office.sums"]["codes"].items()
    return {code not in LEFT for name, code in codes if f".x_{function}__mutmut_" in name}


def test_a_change_that_a_test_sees_is_noticed_and_one_that_none_sees_is_not(answers):
    # With >= the larger is the same, which no test can see; with < it is the smaller.
    assert noticed(answers, "larger") == {False, True}
    assert noticed(answers, "never_called") == {False}


def test_a_change_that_never_ends_is_noticed(answers):
    codes = answers["office.sums"]["codes"]
    ended = Counter(
        name.split(".x_")[1].split("__")[0] for name, code in codes.items() if code == 36
    )
    assert ended["counted_down"] >= 1
    assert ended["waited"] >= 1


def test_a_change_of_what_runs_while_modules_are_imported_is_noticed(answers):
    assert noticed(answers, "limit") == {True}
    # LETTERS[1] ends the import.
    assert noticed(answers, "first") == {True}


def test_a_change_behind_a_filled_cache_is_noticed(answers):
    assert noticed(answers, "built") == {True}


def test_tests_that_fail_with_nothing_changed_try_nothing(answers):
    assert "codes" not in answers["office.fails"]
    assert "tests/test_fails.py::test_it" in answers["office.fails"]["fault"]


def test_how_changes_came_out_is_kept_where_mutmut_looks_for_it(answers, project):
    assert kept(project, "office.sums")["exit_code_by_key"] == answers["office.sums"]["codes"]


LEFT_OVER = {"cases.rules.case.x_may__mutmut_1": 0, "cases.rules.case.x_may__mutmut_2": 33}
SEEN = {f"cases.rules.case.x_may__mutmut_{number}": 1 for number in range(3, 41)}


@pytest.mark.parametrize(
    ("codes", "equivalent", "good"),
    [
        (LEFT_OVER | SEEN, {}, True),
        (LEFT_OVER | {"cases.rules.case.x_may__mutmut_3": 0} | SEEN, {}, True),
        (LEFT_OVER | SEEN | {"cases.rules.case.x_may__mutmut_3": 0}, {}, False),
        (LEFT_OVER | SEEN | {"cases.rules.case.x_may__mutmut_3": 33}, {}, False),
        (
            LEFT_OVER | SEEN | {"cases.rules.case.x_may__mutmut_3": 0},
            {"cases.rules.case.x_may__mutmut_3": "nobody can see it"},
            True,
        ),
        (LEFT_OVER | SEEN, {"cases.rules.case.x_may__mutmut_4": "noticed after all"}, False),
        (LEFT_OVER | SEEN, {"cases.rules.case.x_may__mutmut_99": "no such change"}, False),
        (LEFT_OVER | SEEN, {"cases.court.rules.x_may__mutmut_4": "of another module"}, True),
        ({}, {}, False),
    ],
)
def test_a_module_is_good_with_nineteen_of_twenty_noticed_and_nothing_stale(
    codes, equivalent, good
):
    assert score("cases.rules.case", codes, equivalent)[1] is good
