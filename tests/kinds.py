"""What a test needs, told by the fixtures it asks for: a browser, a process, a database, nothing.

`--quick` leaves out whatever starts a browser or a process. Who starts one has to ask for the
fixture `processes`, or for one that does: without it the start is refused, in every run, so that
nothing is forgotten. Where several workers run, the long ones come first. The pure ones need no
server: `--part pure` runs them by themselves, in what the others (`--part served`) leave of the
machine's time while they wait for a browser, a process or a database.
"""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable, Generator, Iterable
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

import pytest

from tests import near

STARTS_SOMETHING = {"browser", "processes"}
ASKS_FOR_SERVERS = {"db", "transactional_db", "django_db_setup", "live_server"}
BROWSER_AND_PROCESSES, DATABASE, PURE = range(3)
# Fixtures that plugins give to every test, and the marker or fixture with which alone they act.
ACTS_FOR = {
    "_django_clear_site_cache": set[str](),
    "_django_db_marker": {"django_db"},
    "_django_isolate_apps": {"isolate_apps"},
    "_django_set_urlconf": {"urls"},
    "_live_server_helper": {"live_server"},
    "_template_string_if_invalid_marker": {"ignore_template_errors"},
}
STARTS = {"subprocess.Popen", "os.posix_spawn", "os.fork", "os.forkpty", "os.exec", "os.system"}


class NotAsked(BaseException):
    """A test starts a process without the fixture `processes`; nothing in the office catches it."""


class _Running:
    item: pytest.Item | None = None


def kind_of(item: pytest.Item) -> int:
    """Return what a test needs, the most demanding first."""
    asked = set(getattr(item, "fixturenames", ()))
    if asked & STARTS_SOMETHING:
        return BROWSER_AND_PROCESSES
    if asked & ASKS_FOR_SERVERS or item.get_closest_marker("django_db"):
        return DATABASE
    return PURE


def leave_out_what_does_nothing(items: Iterable[pytest.Item]) -> None:
    """Let no test set up what does nothing for it, half a millisecond each time.

    The names are one list for all tests of a function.
    """
    asked: dict[int, tuple[list[str], set[str]]] = {}
    for item in items:
        names = getattr(item, "fixturenames", [])
        _, said = asked.setdefault(id(names), (names, set(names)))
        said.update(marker.name for marker in item.iter_markers())
    for names, said in asked.values():
        names[:] = [one for one in names if one not in ACTS_FOR or ACTS_FOR[one] & said]


def refuse_what_was_not_asked_for() -> None:
    """Refuse the start of a process during a test that did not say that it starts one."""
    if _Running.item and kind_of(_Running.item) != BROWSER_AND_PROCESSES:
        raise NotAsked(f"{_Running.item.nodeid} starts a process: let it ask for `processes`")


def longest_first(items: Iterable[pytest.Item]) -> list[pytest.Item]:
    """Return the tests with the files first in which anything is started, the pure ones last."""
    files: dict[Path, list[pytest.Item]] = {}
    for item in items:
        files.setdefault(item.path, []).append(item)
    return [item for file in sorted(files.values(), key=_kind_of_file) for item in file]


def _kind_of_file(items: list[pytest.Item]) -> int:
    return min(map(kind_of, items))


@pytest.fixture(scope="session")
def processes() -> None:
    """Say that a test starts processes: it is left out of a quick run."""


def pytest_addoption(parser: pytest.Parser) -> None:
    """Offer the quick run."""
    parser.addoption("--quick", action="store_true", help="no browser and no process")
    parser.addoption(
        "--part", choices=("pure", "served"), help="only what needs no server, or only the others"
    )


def pytest_configure(config: pytest.Config) -> None:
    """Look at every start from now on."""
    starts, refuse, start = STARTS, refuse_what_was_not_asked_for, BaseProcess.start

    # Called until the interpreter is gone, when this module's own names are already empty.
    def heard(event: str, _: object) -> None:
        if event in starts:
            refuse()

    sys.addaudithook(heard)

    def looked_at(self: BaseProcess) -> None:
        refuse()
        start(self)

    BaseProcess.start = looked_at  # type: ignore[method-assign]


def _belongs(kind: int, config: pytest.Config) -> bool:
    """Tell whether a test of this kind belongs to what was asked for."""
    if config.getoption("quick") and kind == BROWSER_AND_PROCESSES:
        return False
    part = config.getoption("part")
    return not part or (kind == PURE) == (part == "pure")


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what a quick run has no time for; put the rest in order for several workers."""
    leave_out_what_does_nothing(items)
    left = [item for item in items if not _belongs(kind_of(item), config)]
    if left:
        items[:] = [item for item in items if _belongs(kind_of(item), config)]
        config.hook.pytest_deselected(items=left)
    # Its own numbers begin with this word; any other asks for a mixed order.
    mixed = not config.getoption("random_order_seed").startswith("default:")
    if hasattr(config, "workerinput") and not mixed:
        items[:] = near.first(config, longest_first(items))


@pytest.hookimpl(trylast=True)
def pytest_sessionstart(session: pytest.Session) -> None:
    """Let a worker report of a test that went well how it went, and not its beginning and end.

    Three reports of each test cost the worker and who hands out 2 ms, as much as a small test.
    Who wants to know how long beginning and end took (`--durations`, `--junit-xml`) gets all.
    """
    config = session.config
    if config.getoption("durations") or config.getoption("xmlpath"):
        return
    for plugin in config.pluginmanager.get_plugins():
        if hasattr(config, "workerinput") and hasattr(plugin, "sendevent"):
            plugin.sendevent = functools.partial(_send_what_tells_something, plugin.sendevent)


def _send_what_tells_something(send: Callable[..., None], name: str, **said: Any) -> None:
    report = said["data"] if name == "testreport" else {"when": "call"}
    if report["when"] == "call" or report["outcome"] != "passed":
        send(name, **said)


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """Know which test runs."""
    _Running.item = item
    try:
        return (yield)
    finally:
        _Running.item = None
