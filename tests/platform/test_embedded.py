"""The embedded servers: kept data, private secrets, any folder, no way in from outside."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest
import redis
from redis.backoff import NoBackoff
from redis.retry import Retry

from me_office import embedded


@contextmanager
def a_home() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="office-embedded-", dir="/tmp") as folder:
        yield Path(folder)


@contextmanager
def a_server(home: Path) -> Iterator[embedded.PostgreSQL]:
    server = embedded.PostgreSQL(home, lasting=False)
    yield server
    server.stop()


@pytest.fixture
def home(processes: None) -> Iterator[Path]:
    with a_home() as folder:
        yield folder


@pytest.fixture
def postgresql(home: Path) -> Iterator[embedded.PostgreSQL]:
    with a_server(home) as server:
        yield server


@pytest.fixture(scope="module")
def shared_home(processes: None) -> Iterator[Path]:
    """One folder for what asks nothing of how a cluster is made, which takes a second."""
    with a_home() as folder:
        yield folder


@pytest.fixture
def shared(shared_home: Path) -> Iterator[embedded.PostgreSQL]:
    """Its server, started; whoever comes first makes the cluster."""
    with a_server(shared_home) as server:
        server.start()
        yield server


def test_what_was_written_is_there_after_a_restart(shared: embedded.PostgreSQL) -> None:
    home = shared.home
    with psycopg.connect(embedded.database_url(home, embedded.OWNER)) as connection:
        connection.execute("CREATE TABLE kept AS SELECT 'still here' AS words")
    shared.stop()
    shared.start()
    with psycopg.connect(embedded.database_url(home, embedded.OWNER)) as connection:
        assert connection.execute("SELECT words FROM kept").fetchone() == ("still here",)


def test_the_database_asks_for_a_password_and_has_no_port(shared: embedded.PostgreSQL) -> None:
    home = shared.home
    address = embedded.database_url(home, embedded.OWNER)
    password = embedded.local_secret(home, f"{embedded.OWNER}-password")
    with psycopg.connect(address) as connection:
        assert connection.execute("SHOW listen_addresses").fetchone() == ("",)
    with pytest.raises(psycopg.OperationalError, match="password"):
        psycopg.connect(address.replace(password, "guessed"))


def test_a_folder_with_a_very_long_name_will_do(home: Path) -> None:
    far = home / ("a-folder-with-a-long-name-" * 4) / "and one with spaces"
    server = embedded.PostgreSQL(far, lasting=False)
    try:
        server.start()
        assert embedded.socket_folder(far).parent == Path("/tmp")
        psycopg.connect(embedded.database_url(far, embedded.OWNER)).close()
    finally:
        server.stop()
    assert not embedded.socket_folder(far).exists()


def test_a_start_broken_off_half_way_is_made_anew(
    postgresql: embedded.PostgreSQL, home: Path
) -> None:
    half = home / "postgresql-being-made"
    half.mkdir()
    (half / "PG_VERSION").write_text("18\n")
    postgresql.start()
    assert not half.exists()


def test_the_queue_asks_for_a_password_and_listens_on_loopback_only(home: Path) -> None:
    server = embedded.Redis(home)
    server.start()
    try:
        address = embedded.redis_url(home)
        with redis.Redis.from_url(address) as client:
            assert client.config_get("bind") == {"bind": "127.0.0.1"}
        port = (home / "redis-port").read_text()
        with (
            redis.Redis(port=int(port), retry=Retry(NoBackoff(), 0)) as stranger,
            pytest.raises(redis.AuthenticationError),
        ):
            stranger.ping()
    finally:
        server.stop()


def test_a_secret_is_made_once_whoever_comes_first(home: Path) -> None:
    with ThreadPoolExecutor(8) as people:
        found = set(people.map(lambda _: embedded.local_secret(home), range(32)))
    assert len(found) == 1
    assert len(found.pop()) >= 50
    assert (home / "secret-key").stat().st_mode & 0o077 == 0
    assert [path.name for path in home.iterdir()] == ["secret-key"]
