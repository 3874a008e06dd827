"""Find the Chromium that the browser tests drive: `python -m tests.browser.chromium` installs it.

One that is there is used, the one without windows first, as it takes a third less of a core for
the same page; else, as root on a machine with apt, Debian's package is installed; else a plain
message says how to get one and the exit status is not zero.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

WITHOUT_WINDOWS = "chromium-headless-shell"
NAMES = (
    *(WITHOUT_WINDOWS, "chrome-headless-shell"),
    *("chromium", "chromium-browser", "google-chrome", "google-chrome-stable"),
)
PACKAGES = (WITHOUT_WINDOWS, "chromium")  # older releases of Debian have the second only
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
ADVICE = """\
The browser tests need Chromium, and none was found.
  Debian, Ubuntu:  apt-get install chromium-headless-shell, or chromium
                   (as root `make test` does it by itself)
  elsewhere:       install Chromium or Google Chrome, or set CHROMIUM to the program's path"""


def find() -> Path | None:
    """Return the program named by CHROMIUM, or one on the PATH, or None."""
    named = os.environ.get("CHROMIUM")
    if named:
        return Path(named) if os.access(named, os.X_OK) else None
    for name in NAMES:
        found = shutil.which(name, path=f"{os.environ.get('PATH', '')}:/usr/bin:/usr/local/bin")
        if found:
            return Path(found)
    return None


def install() -> None:
    """Install one of Debian's packages; the caller looks whether it is there afterward."""
    _apt("update -qq")
    for package in PACKAGES:
        if _apt(f"install -y -qq --no-install-recommends {package}"):
            return


def _apt(asked: str) -> bool:
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    command = ["apt-get", *asked.split()]
    done = subprocess.run(command, env=quiet, capture_output=True, check=False)
    if done.returncode:
        print(done.stderr.decode(errors="replace"), file=sys.stderr)
    return not done.returncode


def main() -> int:
    """Make sure that there is a Chromium; return the exit status."""
    may_install = os.geteuid() == 0 and shutil.which("apt-get") and "CHROMIUM" not in os.environ
    if find() is None and may_install:
        print("Installing Chromium for the browser tests.", flush=True)
        install()
    if find() is None:
        print(ADVICE, file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
