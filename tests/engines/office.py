"""The invented office, started for one run on servers of its own."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
from pathlib import Path

from me_office.embedded import free_port
from tests.engines.engine import wait_for

ROOT = Path(__file__).resolve().parents[2]
START_SECONDS = 600


class Office:
    """What `make demo` starts, in a folder that goes with the run."""

    def __init__(self, folder: Path) -> None:
        self.log = folder / "office.log"
        self.folder = folder / "office"
        self.address = ""
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start, and return once it answers."""
        given = {"ME_DATA_DIR": str(self.folder), "PORT": str(free_port())}
        with self.log.open("wb") as log:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "me_office.run", "demo"],
                cwd=ROOT, env=os.environ | given, stdin=subprocess.DEVNULL, stdout=log, stderr=log,
            )  # fmt: skip
        self.address = wait_for(self._told, "the office", START_SECONDS)

    def stop(self) -> None:
        """Stop, as Ctrl-C does; safe to call again."""
        if self._process is not None and self._process.poll() is None:
            self._process.send_signal(signal.SIGINT)
            self._process.wait(60)

    def _told(self) -> str:
        said = self.log.read_text()
        assert self._process is not None
        if self._process.poll() is not None:
            raise AssertionError(f"the office ended: {said}")
        found = re.search(r"The office is at (\S+)/ ", said)
        return found[1] if found else ""
