"""`make demo` on real processes: it starts beside a taken port and leaves nothing behind."""

from __future__ import annotations

import fcntl
import os
import re
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import psutil
import pytest

from me_office import embedded
from tests import ready

ROOT = Path(__file__).resolve().parents[2]
LONGEST_WAIT = 60
# Without the two steps that come before the parts and have ended when these begin, and of the parts
# that are started and end alike, all of Celery, only the one that has a process of its own.
ONE_OF_EACH_KIND = """
from me_office import run
start = run.Office.start
run.Office.step = lambda *_, **__: None
run.Office.start = lambda *said, **more: said[1] in ("web", "worker-quick") and start(*said, **more)
raise SystemExit(run.main())
"""
OF_THE_TEST_RUN = ("DATABASE_URL", "REDIS_URL", "ME_TESTING", "ME_SECRET_KEY", "ME_HTTPS")

Start = Callable[..., "subprocess.Popen[str]"]


@pytest.fixture(scope="module")
def home(processes: None) -> Iterator[Path]:
    """One folder for all, migrated already: that is another test's matter, and takes longest."""
    with tempfile.TemporaryDirectory(prefix="office-demo-", dir="/tmp") as folder:
        data = Path(folder) / "data"
        data.mkdir(mode=0o700)
        ready.office_in(data)
        (data / "sign-ins.txt").touch()
        yield data


@pytest.fixture
def start(home: Path) -> Iterator[Start]:
    """Start the supervisor on a folder of its own; whatever still runs afterward is killed."""
    started: list[subprocess.Popen[str]] = []

    def run(*, of_each_kind: bool = False, **environment: str) -> subprocess.Popen[str]:
        kept = {name: value for name, value in os.environ.items() if name not in OF_THE_TEST_RUN}
        own = {"ME_DATA_DIR": str(home), "ME_FILE_STORE": str(home / "files")}
        process = subprocess.Popen(
            [
                sys.executable,
                *(["-c", ONE_OF_EACH_KIND] if of_each_kind else ["-m", "me_office.run"]),
                "demo",
            ],
            cwd=ROOT,
            env={**kept, **own, "ME_DEMO_DATA": "0", "PYTHONUNBUFFERED": "1", **environment},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            preexec_fn=embedded.end_with_parent,
        )
        started.append(process)
        return process

    yield run
    for process in started:
        process.kill()
        process.communicate(timeout=LONGEST_WAIT)
    psutil.wait_procs(processes_of(home), timeout=LONGEST_WAIT)


def processes_of(home: Path) -> list[psutil.Process]:
    """Return every process that works on this folder, by its environment or its command."""
    found = []
    for process in psutil.process_iter():
        try:
            told = [*process.environ().values(), *process.cmdline()]
        except (psutil.AccessDenied, psutil.NoSuchProcess):
            continue
        if any(str(home) in words for words in told):
            found.append(process)
    return found


def read_until(process: subprocess.Popen[str], words: str) -> str:
    """Return what the supervisor prints up to the line with these words."""
    assert process.stdout is not None
    printed = ""
    # Whoever says nothing for too long is ended, which ends the reading.
    too_long = threading.Timer(2 * LONGEST_WAIT, process.kill)
    too_long.start()
    try:
        for line in process.stdout:
            printed += line
            if words in line:
                return printed
    finally:
        too_long.cancel()
    pytest.fail(f"the supervisor ended before it said {words!r}:\n{printed}")


def command_line(process: psutil.Process) -> str:
    """How it was started; nothing of one that has ended since, as PostgreSQL's helpers may."""
    try:
        return " ".join(process.cmdline())
    except psutil.NoSuchProcess:
        return ""


def until_ended(family: list[psutil.Process]) -> list[psutil.Process]:
    """Wait until these have ended; return those that still run.

    Who has lost its parent is for the machine's first process to bury. In a container that may be
    one that buries nobody, and what has ended stays on the list of processes for ever.
    """

    def runs(process: psutil.Process) -> bool:
        try:
            return process.is_running() and process.status() != psutil.STATUS_ZOMBIE
        except psutil.NoSuchProcess:
            return False

    until = time.monotonic() + LONGEST_WAIT
    while (left := [one for one in family if runs(one)]) and time.monotonic() < until:
        psutil.wait_procs(left, timeout=0.2)
    return left


def test_the_office_starts_beside_a_taken_port_and_stops_cleanly(start: Start, home: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        office = start(PORT=str(port))
        printed = read_until(office, "The office is at")
    family = [psutil.Process(office.pid), *psutil.Process(office.pid).children(recursive=True)]
    names = [command_line(process) for process in family]
    # By their commands, or by the titles that they give themselves once they are ready.
    for part in ("gunicorn", "celery.* worker", "celery.* worker", "celery.*beat", "valkey"):
        found = next((name for name in names if re.search(part, name)), None)
        assert found is not None, (part, names)
        names.remove(found)
    assert f"Port {port} is taken" in printed

    office.send_signal(signal.SIGTERM)
    last, _ = office.communicate(timeout=LONGEST_WAIT)

    assert office.returncode == 0
    assert "Stopped." in last
    assert [process for process in family if process.is_running()] == []
    assert not (home / "postgresql" / "postmaster.pid").exists()


def test_stopping_in_the_middle_of_the_start_leaves_nothing(start: Start, home: Path) -> None:
    port = embedded.free_port()
    office = start(PORT=str(port))
    read_until(office, "Starting the office")
    # The port is held from the beginning, long before anything answers on it.
    with socket.socket() as other:
        other.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        with pytest.raises(OSError, match="in use"):
            other.bind(("127.0.0.1", port))
    office.send_signal(signal.SIGINT)
    office.communicate(timeout=LONGEST_WAIT)
    assert office.returncode == 0
    assert processes_of(home) == []


def test_a_killed_supervisor_takes_its_processes_along(start: Start, home: Path) -> None:
    # The role with fewer rights is made by one of the steps.
    office = start(
        of_each_kind=True, PORT=str(embedded.free_port()), ME_EMBEDDED_ROLE=embedded.OWNER
    )
    read_until(office, "The office is at")
    family = psutil.Process(office.pid).children(recursive=True)
    names = [command_line(process) for process in family]
    for part in ("gunicorn", "celery.* worker", "valkey", "postgres"):
        assert any(re.search(part, name) for name in names), (part, names)
    office.kill()
    office.wait(LONGEST_WAIT)
    assert until_ended(family) == []


def test_a_second_office_on_the_same_folder_is_refused(start: Start, home: Path) -> None:
    home.mkdir(exist_ok=True)
    with (home / "lock").open("a") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        second = start()
        printed, _ = second.communicate(timeout=LONGEST_WAIT)
    assert second.returncode == 1
    assert "already runs" in printed


def test_the_demo_does_not_touch_a_named_database(start: Start) -> None:
    office = start(DATABASE_URL="postgresql://real/office")
    printed, _ = office.communicate(timeout=LONGEST_WAIT)
    assert office.returncode == 1
    assert "DATABASE_URL is set" in printed
