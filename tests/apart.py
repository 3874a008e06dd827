"""Processes of the office beside the test's own, each there after a moment and killed at will.

They are forked from a process that has loaded the office once a run and has one thread only. A
fork of the test's own process would copy locks that its other threads hold just then, and could
wait for them without end.
"""

from __future__ import annotations

import multiprocessing
import os
import runpy
import signal
import socket
import subprocess
import sys
from collections.abc import Callable, Mapping, Sequence
from multiprocessing import forkserver
from pathlib import Path
from unittest import mock

from django.conf import settings
from django.utils.functional import empty

import me_office
from me_office import embedded
from tests.conftest import LONGEST_WAIT, office_environment

CONTEXT = multiprocessing.get_context("forkserver")
CONTEXT.set_forkserver_preload(["tests.loaded"])


class Apart:
    """One function that runs in a process of its own, on the test's database and queue."""

    def __init__(self, job: Callable[..., object], *arguments: object) -> None:
        """Start it: a function of a module and what can be pickled."""
        # The first one starts the process they all come from, whose environment they have.
        with mock.patch.dict(os.environ, office_environment()):
            forkserver.ensure_running()
        self.process = CONTEXT.Process(target=_begin, args=(job, *arguments), daemon=True)
        self.process.start()

    def poll(self) -> int | None:
        """How it ended, as of `subprocess.Popen`; None while it runs."""
        return self.process.exitcode

    def wait(self) -> int:
        """Wait until it has ended; return how. Fails the test where it takes too long."""
        self.process.join(LONGEST_WAIT * 2)
        ended = self.process.exitcode
        if ended is None:
            self.process.kill()
        assert ended is not None, "it did not end"
        return ended

    def kill(self) -> int:
        """End it as a power cut would."""
        self.process.kill()
        return self.wait()

    def stop(self) -> int:
        """Ask it to end, as an operator does."""
        self.process.terminate()
        return self.wait()


def run_python(
    command: Sequence[str], environment: Mapping[str, str], folder: Path
) -> subprocess.CompletedProcess[str]:
    """Run `-c CODE` or a program with exactly this environment, and return what came of it.

    It finds the office loaded, which takes a new interpreter seconds, and reads the settings anew.
    `folder` gets what it prints. Mark the test with `django_db`: the process that it is forked from
    may be the run's first, and others are forked from it for the run's database.
    """
    printed = [folder / name for name in ("stdout", "stderr")]
    ended = Apart(_as_python, list(command), dict(environment), printed).wait()
    return subprocess.CompletedProcess(command, ended, *(path.read_text() for path in printed))


def as_web_server(listening: socket.socket | str, *options: str) -> None:
    """Run the web server as it runs for an office, on a socket that is held open or an address."""
    # Only here: whoever reads its command line reads gunicorn's file of this folder as well.
    from gunicorn.app.wsgiapp import run

    bound = listening if isinstance(listening, str) else f"fd://{listening.fileno()}"
    sys.argv = ["gunicorn", "me_office.wsgi", "--no-control-socket", "--log-level=critical",
                f"--bind={bound}", "-k", "me_office.serve.BufferingWorker", *options]  # fmt: skip
    run()


def _as_python(command: list[str], environment: dict[str, str], printed: list[Path]) -> None:
    for number, path in enumerate(printed, start=1):
        with path.open("w") as file:
            os.dup2(file.fileno(), number)
    os.environ.clear()
    os.environ.update(environment)
    settings._wrapped = empty
    del sys.modules["me_office.settings"], me_office.settings
    first, *rest = command
    if first == "-c":
        exec(rest[0], {"__name__": "__main__"})
    else:
        sys.argv = command
        runpy.run_path(first, run_name="__main__")


def _begin(job: Callable[..., object], *arguments: object) -> None:
    embedded.end_with_parent(signal.SIGKILL)
    # What it starts is of its own group, and no key of the terminal reaches it.
    os.setsid()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_DFL)
    job(*arguments)
