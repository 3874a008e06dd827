"""Makes what was asked for in a process of its own and ends it, as a power cut would, at a stage.

Run as `python -m tests.jobs.dying_worker <module of tasks> <request> <stage>`.
"""

from __future__ import annotations

import importlib
import os
import signal
import sys
from uuid import UUID

import django


def main(module: str, request_id: str, dies_at: str) -> str:
    """Make it up to a stage."""
    django.setup()

    def reached(stage: str) -> None:
        if stage == dies_at:
            os.kill(os.getpid(), signal.SIGKILL)

    made: str = importlib.import_module(module).make_requested(UUID(request_id), reached=reached)
    return made


if __name__ == "__main__":
    print(main(*sys.argv[1:]))
