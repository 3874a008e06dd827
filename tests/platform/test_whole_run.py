"""What `make test` runs, beside what, and that whatever fails in it fails the run.

The Makefile is run as it is, with programs in place of Python, ruff and the others that only note
how they were called and end as they are told.
"""

from __future__ import annotations

import os
import signal
import subprocess
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import IO

import pytest

ROOT = Path(__file__).resolve().parents[2]
pytestmark = pytest.mark.usefixtures("processes")
PROGRAM = """#!/bin/sh
called="$(basename "$0") $*"
echo "$(nice) $called" >> "{calls}"
if echo "$called" | grep -qE -e "$HANGS"; then echo $$ > "{hanging}"; exec sleep 60; fi
if echo "$called" | grep -qE -e "$FAILS"; then exit "$STATUS"; fi
"""
NONE = "^$"
Started = Callable[..., "subprocess.Popen[str]"]


@pytest.fixture
def calls(tmp_path: Path) -> Path:
    """Return where each program notes how it was called."""
    return tmp_path / "calls"


@pytest.fixture
def hanging(tmp_path: Path) -> Iterator[IO[str]]:
    """Return where each program that hangs says which process it is."""
    os.mkfifo(tmp_path / "hanging")
    with os.fdopen(os.open(tmp_path / "hanging", os.O_RDWR)) as told:
        yield told


@pytest.fixture
def whole_run(tmp_path: Path, calls: Path) -> Started:
    """Return what starts a whole run with other programs; `HANGS` and `FAILS` are patterns."""
    programs = tmp_path / "bin"
    programs.mkdir()
    for name in ("python", "ruff", "lint-imports", "mypy"):
        program = programs / name
        program.write_text(PROGRAM.format(calls=calls, hanging=tmp_path / "hanging"))
        program.chmod(0o755)
    for name in ("installed-requirements.txt", "read-tests"):
        (tmp_path / name).touch()
    os.utime(tmp_path / "installed-requirements.txt", (2e9, 2e9))
    os.utime(tmp_path / "read-tests", (3e9, 3e9))

    def start(*more: str, **told: str) -> subprocess.Popen[str]:
        own = {name: os.environ[name] for name in ("PATH", "HOME") if name in os.environ}
        return subprocess.Popen(
            ["make", "test", f"VENV={tmp_path}", f"PYTHON={programs / 'python'}", *more],
            cwd=ROOT, env={**own, "HANGS": NONE, "FAILS": NONE, **told}, text=True,
            stdout=subprocess.PIPE, stderr=subprocess.STDOUT, start_new_session=True,
            # Whoever was started in the background hears of no breaking off, nor does a child.
            preexec_fn=partial(signal.signal, signal.SIGINT, signal.SIG_DFL),
        )  # fmt: skip

    return start


def runs_of(calls: Path) -> dict[str, str]:
    """Return each run of tests by its part: its priority and what it was asked."""
    runs = [line for line in calls.read_text().splitlines() if " python -m pytest" in line]
    return {line.split("--part ")[1].split()[0]: line for line in runs}


def test_every_part_is_run_once_and_the_one_beside_the_workers_gives_way(
    whole_run: Started, calls: Path
) -> None:
    with whole_run("WORKERS=1", "ORDER=7") as run:
        assert run.wait(60) == 0
    before, found = os.nice(0), runs_of(calls)
    assert sorted(found) == ["pure", "served"]
    assert calls.read_text().count("-m pytest") == len(found)
    mixed = "--random-order-bucket=module --random-order-seed=7"
    served = f"--part served -n 1 --dist loadfile --no-loadscope-reorder {mixed}"
    assert found["served"] == f"{before} python -m pytest {served}"
    assert found["pure"] == f"{min(before + 10, 19)} python -m pytest --part pure {mixed}"


@pytest.mark.parametrize("part", ["--part pure", "--part served", "mypy ."])
@pytest.mark.parametrize("status", ["1", "2", "5", "137"])
def test_whatever_fails_fails_the_run(whole_run: Started, part: str, status: str) -> None:
    with whole_run(FAILS=part, STATUS=status) as run:
        assert run.wait(60) != 0


@pytest.mark.parametrize("hang", ["-m pytest --part (pure|served)", "--collect-only|^mypy"])
def test_a_run_that_is_broken_off_leaves_nothing_running(
    whole_run: Started, hanging: IO[str], tmp_path: Path, hang: str
) -> None:
    if "collect" in hang:
        (tmp_path / "read-tests").unlink()
    with whole_run(HANGS=hang) as run:
        both = [int(hanging.readline()) for _ in range(2)]
        os.killpg(run.pid, signal.SIGINT)
        assert run.wait(30) != 0
    for one in both:
        with pytest.raises(ProcessLookupError):
            os.kill(one, 0)
