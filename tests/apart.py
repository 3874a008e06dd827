"""Processes of the office beside the test's own, each there after a moment and killed at will.

They are forked from a process that has loaded the office once a run and has one thread only. A
fork of the test's own process would copy locks that its other threads hold just then, and could
wait for them without end.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Callable
from multiprocessing import forkserver
from unittest import mock

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


def _begin(job: Callable[..., object], *arguments: object) -> None:
    embedded.end_with_parent(signal.SIGKILL)
    # What it starts is of its own group, and no key of the terminal reaches it.
    os.setsid()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_DFL)
    job(*arguments)
