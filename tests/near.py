"""A quick run begins with the tests near what was changed, and says when these are through.

Near is what stands in the test room of what was changed, and every test file that names it.
"""

from __future__ import annotations

import re
import subprocess
import time
from collections.abc import Iterable, Sequence
from pathlib import Path, PurePosixPath
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parent.parent
TESTS = PurePosixPath("tests")
# What has no room of its own, such as the settings and the documents, is held by this one.
OTHERS = "platform"
NOT_COMMITTED = (
    ["git", "diff", "--name-only", "HEAD"],
    ["git", "ls-files", "--others", "--exclude-standard"],
)
BY_THE_LAST_COMMIT = (["git", "diff", "--name-only", "HEAD~1", "HEAD"],)


def changed() -> list[str]:
    """Return the paths that are not committed or, if all are, those of the last commit."""
    return _told_by(NOT_COMMITTED) or _told_by(BY_THE_LAST_COMMIT)


def _told_by(commands: Sequence[Sequence[str]]) -> list[str]:
    """Return the paths that Git tells; none where it is missing or this is no clone."""
    try:
        answers = [
            subprocess.run(one, cwd=ROOT, capture_output=True, text=True, check=True).stdout
            for one in commands
        ]
    except (OSError, subprocess.CalledProcessError):
        return []
    return sorted({path for answer in answers for path in answer.splitlines()})


def room_of(path: str, rooms: Iterable[str]) -> str | None:
    """Return the test room of a changed path; None for a test file, which is near by itself."""
    place = PurePosixPath(path)
    if place.is_relative_to(TESTS):
        if place.match("test_*.py") or place.parent == TESTS:
            return None
        return place.parts[1]
    return next((part for part in reversed(place.parts[:-1]) if part in rooms), OTHERS)


def named(path: str) -> str | None:
    """Return the pattern of what a test file says that uses the changed one, or None."""
    place = PurePosixPath(path)
    if place.suffix == ".html":
        return re.escape("/".join(place.parts[-2:]))
    if place.suffix != ".py":
        return None
    *above, name = place.parent.parts if place.stem == "__init__" else place.with_suffix("").parts
    if not above:
        return rf"(?:import|from) {name}\b"
    package = re.escape(".".join(above))
    return rf"{package}\.{name}\b|from {package} import [^\n]*\b{name}\b"


def near(paths: Iterable[str], files: Iterable[str]) -> set[str]:
    """Return those of the test files, all as paths from the root, that are near the paths."""
    paths, files = set(paths), set(files)
    rooms = {PurePosixPath(file).parts[1] for file in files if len(PurePosixPath(file).parts) > 2}
    asked = {room_of(path, rooms) for path in paths}
    found = {file for file in files if file in paths or PurePosixPath(file).parts[1] in asked}
    if patterns := [pattern for path in paths if (pattern := named(path))]:
        uses = re.compile("|".join(patterns))
        found |= {file for file in files - found if uses.search((ROOT / file).read_text())}
    return found


def first(config: pytest.Config, items: list[pytest.Item]) -> list[pytest.Item]:
    """Return the tests of a quick run with those near what was changed before the others."""
    paths = getattr(config, "workerinput", {}).get("changed")
    if not paths:
        return items
    files = near(paths, {_file(item.nodeid) for item in items})
    return sorted(items, key=lambda item: _file(item.nodeid) not in files)


def _file(nodeid: str) -> str:
    return nodeid.partition("::")[0]


class _Near:
    """In the process that hands the tests out: what was changed, and what is still awaited."""

    def __init__(self, config: pytest.Config) -> None:
        self.config = config
        self.changed = changed()
        self.began = time.monotonic()
        self.all: set[str] = set()
        self.awaited: set[str] = set()
        self.failed: set[str] = set()

    @pytest.hookimpl(optionalhook=True)
    def pytest_configure_node(self, node: Any) -> None:
        """Tell each worker the same, whatever is saved meanwhile."""
        node.workerinput["changed"] = self.changed

    @pytest.hookimpl(optionalhook=True)
    def pytest_xdist_node_collection_finished(self, ids: Sequence[str]) -> None:
        """Note which tests are near: each worker has found the same."""
        files = near(self.changed, {_file(one) for one in ids})
        self.all = self.awaited = {one for one in ids if _file(one) in files}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Say once how the near ones went, as soon as the last of them is through."""
        if report.nodeid in self.all and report.outcome == "failed":
            self.failed.add(report.nodeid)
        if report.nodeid not in self.awaited:
            return
        self.awaited = self.awaited - {report.nodeid}
        if not self.awaited:
            self._say()

    def _say(self) -> None:
        went = f"{len(self.failed)} failed" if self.failed else "all passed"
        took = time.monotonic() - self.began
        terminal: Any = self.config.pluginmanager.get_plugin("terminalreporter")
        terminal.ensure_newline()
        terminal.write_line(
            f"Near what was changed: {len(self.all)} tests, {went}, after {took:.0f} s. "
            "The others follow."
        )


def pytest_configure(config: pytest.Config) -> None:
    """Ask once what was changed, where a quick run hands its tests out."""
    if config.getoption("quick") and not hasattr(config, "workerinput"):
        config.pluginmanager.register(_Near(config), "near")
