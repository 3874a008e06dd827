"""Makes a packet in a process of its own and ends it, as a power cut would, at a stage.

Run as `python -m tests.packets.dying_worker <packet> <stage>`.
"""

from __future__ import annotations

import os
import signal
import sys
from uuid import UUID

import django


def main(packet_id: str, dies_at: str) -> str:
    """Make the packet up to a stage."""
    django.setup()
    from cases.packets.tasks import make_requested

    def reached(stage: str) -> None:
        if stage == dies_at:
            os.kill(os.getpid(), signal.SIGKILL)

    return make_requested(UUID(packet_id), reached=reached)


if __name__ == "__main__":
    print(main(*sys.argv[1:]))
