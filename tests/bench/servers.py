"""Servers and databases of their own for the measurements: one database for each size of office."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
from psycopg import sql

from me_office import embedded

EMPTY = "office_empty"


class Servers:
    """A PostgreSQL and a Redis-protocol server below one folder."""

    def __init__(self, home: Path) -> None:
        self.home = home
        (home / "data" / "static").mkdir(parents=True, exist_ok=True)
        self.running = (embedded.PostgreSQL(home, lasting=False), embedded.Redis(home))
        self.password = embedded.local_secret(home, f"{embedded.APPLICATION}-password")

    def start(self) -> None:
        """Start both, and let the settings find them; before Django is set up."""
        for server in self.running:
            server.start()
        os.environ |= {
            "DATABASE_URL": embedded.database_url(self.home, embedded.OWNER),
            "REDIS_URL": embedded.redis_url(self.home),
            "DJANGO_SETTINGS_MODULE": "me_office.settings",
            "ME_TESTING": "1",
            "ME_SECRET_KEY": secrets.token_urlsafe(50),
            "ME_HTTPS": "0",
            "ME_REQUIRE_SECOND_FACTOR": "0",
            "ME_DATA_DIR": str(self.home / "data"),
            "ME_FILE_STORE": str(self.home / "files"),
        }

    def stop(self) -> None:
        """Stop both."""
        for server in reversed(self.running):
            server.stop()

    def databases(self) -> set[str]:
        """The databases that are there."""
        with self._administering() as raw:
            return {name for (name,) in raw.execute("SELECT datname FROM pg_database")}

    def copy_database(self, name: str, *, of: str) -> None:
        """Make a database as a copy of another one that nobody is connected to."""
        statement = sql.SQL("CREATE DATABASE {} TEMPLATE {}")
        with self._administering() as raw:
            raw.execute(statement.format(sql.Identifier(name), sql.Identifier(of)))

    def drop_database(self, name: str) -> None:
        """Drop a database that an earlier run has left half built, if there is one."""
        with self._administering() as raw:
            raw.execute(sql.SQL("DROP DATABASE IF EXISTS {}").format(sql.Identifier(name)))

    def make_database(self, name: str) -> None:
        """Make an empty database."""
        self.drop_database(name)
        with self._administering() as raw:
            raw.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))

    def rename_database(self, name: str, to: str) -> None:
        """Give a database its final name."""
        statement = sql.SQL("ALTER DATABASE {} RENAME TO {}")
        with self._administering() as raw:
            raw.execute(statement.format(sql.Identifier(name), sql.Identifier(to)))

    @contextmanager
    def _administering(self) -> Iterator[psycopg.Connection]:
        url = embedded.database_url(self.home, embedded.OWNER)
        whole = url.replace(f"/{embedded.DATABASE}?", "/postgres?")
        with psycopg.connect(whole, autocommit=True) as raw:
            yield raw
