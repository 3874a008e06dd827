"""Offices of several sizes beside each other, each in its own database."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from copy import deepcopy
from typing import Any

from django.core.management import call_command
from django.db import connections

from me_office import embedded
from tests.bench.office import build_office
from tests.bench.servers import EMPTY, Servers

Tell = Callable[[str], None]


def _wrapper(database: str, *, role: str, password: str | None = None) -> Any:
    """A connection of Django's own kind to one database, as one role."""
    settings = deepcopy(connections["default"].settings_dict)
    settings |= {"NAME": database, "USER": role, "CONN_MAX_AGE": None}
    if password is not None:
        settings["PASSWORD"] = password
    return type(connections["default"])(settings, "default")


@contextmanager
def connected(wrapper: Any) -> Iterator[None]:
    """Let everything speak to one database."""
    before = connections["default"]
    connections["default"] = wrapper
    try:
        yield
    finally:
        connections["default"] = before


def make_empty(servers: Servers) -> None:
    """Migrate one empty database, from which the others are copied."""
    unfinished = f"{EMPTY}_unfinished"
    servers.make_database(unfinished)
    bring_up_to_date(servers, unfinished)
    servers.rename_database(unfinished, EMPTY)


def bring_up_to_date(servers: Servers, database: str) -> None:
    """Migrate one database, and give the application's role its rights."""
    wrapper = _wrapper(database, role=embedded.OWNER)
    with connected(wrapper):
        call_command("migrate", verbosity=0, interactive=False)
        call_command(
            "grant_app_role", role=embedded.APPLICATION, password=servers.password, verbosity=0
        )
        wrapper.close()


def make_office(servers: Servers, cases: int, tell: Tell) -> dict[str, Any]:
    """Build an office; say how long it took and how many rows it has."""
    unfinished = f"office_{cases}_unfinished"
    servers.drop_database(unfinished)
    servers.copy_database(unfinished, of=EMPTY)
    began = time.perf_counter()
    wrapper = _wrapper(unfinished, role=embedded.OWNER)
    with connected(wrapper):
        rows = build_office(cases, told=tell)
        with wrapper.cursor() as cursor:
            cursor.execute("SELECT pg_database_size(current_database())")
            size = cursor.fetchone()[0]
        wrapper.close()
    servers.rename_database(unfinished, f"office_{cases}")
    seconds = round(time.perf_counter() - began, 1)
    built = {"cases": cases, "rows": sum(rows.values()), "seconds": seconds, "bytes": size}
    tell(f"{cases} cases: {built['rows']} rows, {size / 1e6:.0f} MB, built in {seconds:.0f} s")
    built |= {"tables": rows}
    (servers.home / f"office_{cases}.json").write_text(json.dumps(built))
    return built


def known_offices(servers: Servers) -> dict[int, dict[str, Any]]:
    """The offices that an earlier run has built in the same folder, by size."""
    there = servers.databases()
    notes = [json.loads(path.read_text()) for path in servers.home.glob("office_*.json")]
    return {note["cases"]: note for note in notes if f"office_{note['cases']}" in there}


class Office:
    """One built office, to which the application's role connects."""

    def __init__(self, servers: Servers, cases: int) -> None:
        self.cases = cases
        self.wrapper = _wrapper(
            f"office_{cases}", role=embedded.APPLICATION, password=servers.password
        )

    @contextmanager
    def open(self) -> Iterator[None]:
        """Let the pages speak to this office."""
        with connected(self.wrapper):
            yield
