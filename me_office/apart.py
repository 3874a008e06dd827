"""A program of the office's that reads a stranger's file in a process of its own.

The process has no database, no settings and no environment, and limits memory and processor time
for itself.
"""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path
from typing import IO

from me_office.audit.errors import Refused


def read_apart(
    program: Path,
    given: IO[bytes] | bytes,
    *asked: str,
    seconds: float,
    too_much: str,
    broken: str,
    field: str = "",
) -> bytes:
    """Return what the program prints of a file. Raises Refused.

    `seconds` are by the clock of the wall. `too_much` says that it took too long, by this clock or
    the processor's; `broken` that it ended in any other way. A file that is no file of this machine
    is given as its bytes.
    """
    try:
        done = subprocess.run(
            [sys.executable, "-I", str(program), *asked],
            input=given if isinstance(given, bytes) else None,
            stdin=None if isinstance(given, bytes) else given,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            timeout=seconds,
            env={},
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise Refused(too_much, field=field) from error
    if done.returncode:
        stopped = done.returncode in {-signal.SIGXCPU, -signal.SIGKILL}
        raise Refused(too_much if stopped else broken, field=field)
    return done.stdout
