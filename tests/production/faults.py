"""What goes wrong in an office one day: what `ready` and the health addresses say of each."""

from __future__ import annotations

import json
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from tests.production.office import Failed, Office, commands, wait_for
from tests.production.told import told

# What a look remembers, and the longest that a silent part is still taken for alive.
SEEN_WITHIN = 60.0
SILENT_WITHIN = 120.0
# Where root runs this, its folders are root's; set up bare, the administrator has not begun.
BROUGHT_ALONG = {"folders", "administrator"}


def plant(office: Office) -> None:
    """Plant each fault, see it named, mend it, and see that nothing is left."""
    with told("nothing is wrong before, but what this run brings along"):
        try:
            wait_for(lambda: wrong(office) <= BROUGHT_ALONG, "an office without a fault", 60)
        except Failed as error:
            raise Failed(f"{error}\n{office.manage('ready', check=False)}") from None
    if office.has_proxy:
        with told("the web is away: the proxy says so, with 503"):
            _say_that_the_web_is_away(office)
    for name, fault, says, serves in FAULTS:
        with told(f"{name}: found, and right again"):
            _plant(office, name, fault, says, serves)


def _say_that_the_web_is_away(office: Office) -> None:
    office.stop_part("web")
    status, page = office.get("/")
    office.start_part("web", commands()["web"])
    wait_for(lambda: office.get("/health/live/")[0] == 200, "the web again")
    if status != 503 or "The office is unavailable for a moment" not in page:
        raise Failed(f"While the web is away the proxy answers {status}: {page[:200]}")


def wrong(office: Office) -> set[str]:
    """Return the names of what is not right, as `manage.py ready` tells them."""
    told_now = json.loads(office.manage("ready", "--json", check=False))
    return {one["name"] for one in told_now if one["state"] != "right"}


def _plant(
    office: Office, name: str, fault: Callable[[Office], Iterator[None]], says: str, serves: bool
) -> None:
    with contextmanager(fault)(office):
        wait_for(lambda: says in wrong(office), f"{name}: `{says}` in ready", SILENT_WITHIN)
        status, body = office.get("/health/live/")
        if (status, body) != (200, "alive\n"):
            raise Failed(f"{name}: the process no longer says that it lives: {status} {body}")
        wait_for(
            lambda: (office.get("/health/ready/")[0] == 200) is serves,
            f"{name}: {'still' if serves else 'no longer'} ready", SEEN_WITHIN,
        )  # fmt: skip
    wait_for(lambda: office.get("/health/ready/")[0] == 200, f"{name}: ready again", SEEN_WITHIN)
    wait_for(lambda: wrong(office) <= BROUGHT_ALONG, f"{name}: nothing left of it", SILENT_WITHIN)


def _killed(part: str) -> Callable[[Office], Iterator[None]]:
    def fault(office: Office) -> Iterator[None]:
        office.stop_part(part, signal.SIGKILL)
        yield
        office.start_part(part, commands()[part])

    return fault


def _no_database(office: Office) -> Iterator[None]:
    office.postgresql.stop()
    yield
    office.postgresql.start()


def _silent_broker(office: Office) -> Iterator[None]:
    """Hold the broker: it takes connections and answers nothing."""
    assert office.redis.process is not None
    office.redis.process.send_signal(signal.SIGSTOP)
    yield
    office.redis.process.send_signal(signal.SIGCONT)


def _no_static_files(office: Office) -> Iterator[None]:
    """Nothing was collected for this version; the web is started so."""
    kept = office.home / "data" / "static"
    kept.rename(kept.with_name("aside"))
    kept.mkdir()
    _web_again(office)
    yield
    kept.rmdir()
    kept.with_name("aside").rename(kept)
    _web_again(office)


def _web_again(office: Office) -> None:
    office.stop_part("web")
    office.start_part("web", commands()["web"])
    wait_for(lambda: office.get("/health/live/")[0] == 200, "the web again")


# Name, fault, the condition that names it, and whether people are still sent here.
FAULTS = (
    ("a worker of quick jobs was killed", _killed("worker"), "worker of quick jobs", True),
    ("a worker of long jobs was killed", _killed("worker-long"), "worker of long jobs", True),
    ("beat was killed", _killed("beat"), "beat", True),
    ("the database is stopped", _no_database, "database", False),
    ("the broker is silent", _silent_broker, "broker", True),
    ("static files were not collected", _no_static_files, "static files", False),
)
