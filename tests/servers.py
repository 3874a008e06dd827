"""Servers for one test run: a fresh PostgreSQL and a Redis-protocol server in a temporary folder.

Loaded by `-p tests.servers` before the settings are, because the settings read the environment.
Each run has its own folder, socket and port, so several runs on one machine don't meet.
TEST_DATABASE_URL and TEST_REDIS_URL name servers of your own instead; the database's role must
be a superuser there.
"""

from __future__ import annotations

import os
import secrets
import shutil
import tempfile
from collections.abc import Generator, Iterator
from pathlib import Path

import pytest

from me_office import embedded
from tests import ready

WORKER = "PYTEST_XDIST_WORKER"
MARK = "office.json"


class Servers:
    """What this run started and has to remove."""

    def __init__(self) -> None:
        self.home: Path | None = None
        self.is_ready = False
        self.running: list[embedded.PostgreSQL | embedded.Redis] = []

    def start(self, *, only_named: bool = False) -> None:
        """Start what is needed and say so in the environment.

        `only_named`: there is none behind the addresses, which the settings want to read.
        """
        # Directly in /tmp: a socket's path has to be short, and TMPDIR may be anything.
        home = self.home = Path(tempfile.mkdtemp(prefix="office-tests-", dir="/tmp"))
        (home / "data" / "static").mkdir(parents=True)
        database_url = os.environ.get("TEST_DATABASE_URL")
        if only_named:
            database_url = database_url or "postgresql://nobody@127.0.0.1:1/none"
        elif not database_url:
            self.is_ready = ready.put_into(home)
            self._start(embedded.PostgreSQL(home, lasting=False))
            if self.is_ready:
                # pytest-django names the database of each of several workers after the worker.
                worker = os.environ.get(WORKER)
                ready.rename(home, "_".join(filter(None, [f"test_{embedded.DATABASE}", worker])))
            database_url = embedded.database_url(home, embedded.OWNER)
        redis_url = os.environ.get("TEST_REDIS_URL")
        if only_named:
            redis_url = redis_url or "redis://127.0.0.1:1/0"
        elif not redis_url:
            self._start(embedded.Redis(home))
            redis_url = embedded.redis_url(home)
        os.environ |= {
            "DATABASE_URL": database_url,
            "REDIS_URL": redis_url,
            "DJANGO_SETTINGS_MODULE": "me_office.settings",
            "ME_TESTING": "1",
            "ME_SECRET_KEY": secrets.token_urlsafe(50),
            "ME_HTTPS": "0",
            # Nobody's disk decides about a test.
            "ME_STORE_LITTLE_ROOM": "0",
            "ME_REQUIRE_SECOND_FACTOR": "0",
            "ME_DATA_DIR": str(home / "data"),
            "ME_FILE_STORE": str(home / "files"),
        }

    def _start(self, server: embedded.PostgreSQL | embedded.Redis) -> None:
        self.running.append(server)
        server.start()

    def stop(self) -> None:
        """Stop and remove everything; safe to call again."""
        for server in reversed(self.running):
            server.stop()
        self.running.clear()
        if self.home is not None:
            shutil.rmtree(self.home, ignore_errors=True)


_servers = Servers()


@pytest.fixture(autouse=True, scope="module")
def _a_store_for_each_file() -> Iterator[None]:
    """Empty the file store after each file of tests, with what was put there for all of them."""
    yield
    _leave_in_the_store({})


@pytest.fixture(autouse=True)
def _a_store_for_each_test(_a_store_for_each_file: None) -> Iterator[None]:
    """Leave the file store as it was: what one test damaged would be another's false alarm."""
    before = _in_the_store()
    yield
    _leave_in_the_store(before)


def _in_the_store() -> dict[Path, tuple[int, int, int]]:
    """Return every file of the store with what would be another if it were written anew."""
    if _servers.home is None or not (files := _servers.home / "files").is_dir():
        return {}
    # The store's mark stays for the whole run.
    there = [path for path in files.rglob("*") if path.is_file() and path.name != MARK]
    found = [(path, path.stat()) for path in there]
    return {path: (stat.st_ino, stat.st_size, stat.st_mtime_ns) for path, stat in found}


def _leave_in_the_store(before: dict[Path, tuple[int, int, int]]) -> None:
    if not before and _servers.home is not None:
        if (files := _servers.home / "files").is_dir():
            for left in files.iterdir():
                if left.is_dir():
                    shutil.rmtree(left, ignore_errors=True)
                elif left.name != MARK:
                    left.unlink()
        return
    after = _in_the_store()
    for path in after.keys() - before.keys():
        path.unlink(missing_ok=True)
    changed = [path.name for path in before if before[path] != after.get(path)]
    assert changed == [], "a test changed files that others share"


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_load_initial_conftests(
    early_config: pytest.Config,
) -> Generator[None, object, object]:
    """Start before pytest-django loads the settings: a wrapper comes before every plain hook.

    Whoever only hands the tests out to workers, or lists them, runs none and needs no server; the
    pure ones need none either.
    """
    several = getattr(early_config.known_args_namespace, "numprocesses", None)
    try:
        asked = early_config.known_args_namespace
        hands_out = bool(several) and WORKER not in os.environ
        needs_none = hands_out or asked.collectonly or asked.part == "pure"
        _servers.start(only_named=needs_none)
        return (yield)
    except BaseException:
        _servers.stop()
        raise


def pytest_configure(config: pytest.Config) -> None:
    """Let pytest-django take the copied database for its own; it goes with the run's folder."""
    if _servers.is_ready:
        config.option.reuse_db = True


@pytest.hookimpl(trylast=True)
def pytest_unconfigure() -> None:
    """Stop at the very end of the run, also of one that was broken off."""
    _servers.stop()
