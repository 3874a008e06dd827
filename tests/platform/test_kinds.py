"""What a quick run leaves out is told by what a test asks for, and nothing starts unasked."""

from __future__ import annotations

import multiprocessing
import os
import re
import subprocess
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from tests import kinds


def a_test(*asked: str, file: str = "a.py", marked: bool = False) -> Any:
    return SimpleNamespace(
        fixturenames=list(asked),
        path=Path(file),
        get_closest_marker=lambda name: marked if name == "django_db" else None,
        iter_markers=lambda: [SimpleNamespace(name="django_db")] if marked else [],
    )


def test_a_fixture_that_does_nothing_for_a_test_is_not_set_up_for_it():
    plain = a_test("_django_db_marker", "_live_server_helper", "_django_set_urlconf", "tmp_path")
    marked = a_test("_django_db_marker", "_live_server_helper", marked=True)
    served = a_test("_django_db_marker", "_live_server_helper", "live_server")
    # One list of names for all tests of a function: what one of them needs stays for all.
    beside = a_test()
    beside.fixturenames = served.fixturenames
    kinds.leave_out_what_does_nothing([plain, marked, served, beside])
    assert plain.fixturenames == ["tmp_path"]
    assert marked.fixturenames == ["_django_db_marker"]
    assert served.fixturenames == beside.fixturenames == ["_live_server_helper", "live_server"]


@pytest.mark.parametrize(
    ("item", "kind"),
    [
        (a_test("browser", "live_server"), kinds.BROWSER_AND_PROCESSES),
        (a_test("processes"), kinds.BROWSER_AND_PROCESSES),
        (a_test("processes", "db"), kinds.BROWSER_AND_PROCESSES),
        (a_test("db"), kinds.DATABASE),
        (a_test("transactional_db"), kinds.DATABASE),
        (a_test("live_server"), kinds.DATABASE),
        (a_test("django_db_setup"), kinds.DATABASE),
        (a_test(marked=True), kinds.DATABASE),
        (a_test("tmp_path"), kinds.PURE),
        (a_test(), kinds.PURE),
    ],
)
def test_what_a_test_needs_is_told_by_what_it_asks_for(item, kind):
    assert kinds.kind_of(item) == kind


def test_the_files_that_start_something_come_first_whole_and_the_pure_ones_last():
    pure, other = a_test(file="a.py"), a_test(file="a.py")
    table = a_test("db", file="b.py")
    page, beside = a_test("browser", file="c.py"), a_test(file="c.py")
    assert kinds.longest_first([pure, other, table, beside, page]) == [
        beside, page, table, pure, other,
    ]  # fmt: skip


@pytest.mark.parametrize(("quick", "left"), [(True, 1), (False, 2)])
def test_a_quick_run_says_what_it_leaves_out(quick, left):
    items, said = [a_test("browser"), a_test()], []
    config = SimpleNamespace(
        getoption={"quick": quick, "random_order_seed": "default:3"}.get,
        hook=SimpleNamespace(pytest_deselected=lambda *, items: said.extend(items)),
    )
    kinds.pytest_collection_modifyitems(config, items)
    assert (len(items), len(said)) == (left, 2 - left)


@pytest.mark.parametrize("quick", [True, False])
def test_each_test_belongs_to_one_of_two_parts(quick):
    every = [a_test("browser"), a_test("processes"), a_test("db"), a_test()]
    found = {}
    for part in ("pure", "served"):
        items, said = [*every], []
        config = SimpleNamespace(
            getoption={"quick": quick, "part": part, "random_order_seed": "default:3"}.get,
            hook=SimpleNamespace(pytest_deselected=lambda *, items, said=said: said.extend(items)),
        )
        kinds.pytest_collection_modifyitems(config, items)
        assert len(items) + len(said) == len(every)
        found[part] = [every.index(item) for item in items]
    assert found == {"pure": [3], "served": [2] if quick else [0, 1, 2]}


@pytest.mark.parametrize(
    ("seed", "of_several", "ordered"),
    [("default:3", True, True), ("default:3", False, False), ("3", True, False)],
)
def test_only_several_workers_without_an_asked_for_order_begin_with_the_long_ones(
    seed, of_several, ordered
):
    pure, page = a_test(file="a.py"), a_test("browser", file="b.py")
    items, more = [pure, page], {"workerinput": {}} if of_several else {}
    config = SimpleNamespace(getoption={"quick": False, "random_order_seed": seed}.get, **more)
    kinds.pytest_collection_modifyitems(config, items)
    assert items == ([page, pure] if ordered else [pure, page])


STARTS = [
    lambda: subprocess.run(["true"], check=True),
    lambda: os.posix_spawn("/bin/true", ["true"], {}),
    lambda: os.system("true"),
    lambda: multiprocessing.get_context("spawn").Process(target=print).start(),
    lambda: multiprocessing.get_context("forkserver").Process(target=print).start(),
]


@pytest.mark.parametrize("start", STARTS)
def test_what_did_not_ask_for_processes_starts_none(start):
    with pytest.raises(kinds.NotAsked, match="starts a process: let it ask for `processes`"):
        start()


@pytest.mark.usefixtures("processes")
def test_what_asked_for_processes_starts_them():
    assert subprocess.run(["true"], check=False).returncode == 0


def test_who_lets_the_database_count_rows_has_it_forget_them_afterwards():
    counts = re.compile(r"ANALY[Z]E|from tests\.bench\.(?:office|boards) import")
    files = [
        (path.name, text)
        for path in Path(__file__).parents[1].rglob("test_*.py")
        if counts.search(text := path.read_text(encoding="utf-8"))
    ]
    assert len(files) > 2
    assert [name for name, text in files if "rows_counted_anew" not in text] == []
