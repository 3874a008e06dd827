"""What gunicorn reads by itself where it is started in this folder."""

import gc
import os
import shutil
import tempfile
from pathlib import Path
from typing import Any

logger_class = "me_office.logs.web.ServerLog"

# Where the web processes of this gunicorn count their requests; named before any of them begins.
# In memory where there is such a place: /tmp is tidied up after some days.
if "PROMETHEUS_MULTIPROC_DIR" not in os.environ:
    memory = Path("/dev/shm")  # noqa: S108, a folder of one's own is made in it
    os.environ["PROMETHEUS_MULTIPROC_DIR"] = tempfile.mkdtemp(
        prefix="office-counts-", dir=memory if memory.is_dir() else None
    )


def when_ready(server: Any) -> None:
    """Let no worker look again and again through what was loaded for good before it was forked.

    The web processes of a page with some thousand records lost a third of its time so.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(100_000, 50, 50)


def child_exit(server: Any, worker: Any) -> None:
    """Let the counts of a process that ended stand, and forget what only lived with it."""
    from prometheus_client.multiprocess import mark_process_dead

    mark_process_dead(worker.pid)  # type: ignore[no-untyped-call]


def on_exit(server: Any) -> None:
    """Leave no counts behind, unless another gunicorn goes on with them."""
    if not server.reexec_pid:
        shutil.rmtree(os.environ["PROMETHEUS_MULTIPROC_DIR"], ignore_errors=True)
