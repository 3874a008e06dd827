"""Install requirements.txt: `.venv/bin/python -I me_office/packages.py`, for `make`.

pip unpacks one wheel after the other and takes half a minute. uv, which pip fetches first, takes a
third of that. It is told where pip is told to look: uv reads none of pip's own settings. Where they
say something that is not handed on here, or uv does not succeed, pip installs everything itself.
Needs nothing but Python's own library.
"""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

REQUIREMENTS = Path(__file__).resolve().parent.parent / "requirements.txt"
# What a line of a requirements file says to pip and uv alike, as an option of that name; values of
# several are apart by space.
AS_LINES = {"index-url", "extra-index-url", "find-links", "constraint"}
AS_ENVIRONMENT = {
    "cert": ("SSL_CERT_FILE",),
    "proxy": ("HTTP_PROXY", "HTTPS_PROXY"),
    "timeout": ("UV_HTTP_TIMEOUT",),
    "default-timeout": ("UV_HTTP_TIMEOUT",),
    "retries": ("UV_HTTP_RETRIES",),
    "trusted-host": ("UV_INSECURE_HOST",),
}
# Says nothing about what is installed or where it comes from.
MATTERS_NOT = {
    *("disable-pip-version-check", "root-user-action", "no-python-version-warning"),
    *("config-file", "no-input", "no-color", "progress-bar", "quiet", "verbose", "log"),
    *("compile", "no-compile", "no-warn-script-location", "require-virtualenv"),
}
SECTIONS = ("global", "install", ":env:")  # the later wins
_LINE = re.compile(r"^(?P<section>:env:|[\w-]+)\.(?P<name>[\w-]+)=(?P<value>['\"].*['\"])$")


class OnlyPip(Exception):
    """pip is set up in a way that uv is not told of; names the setting, never its value."""


def settings_of(listed: str) -> dict[str, str]:
    """Return what `pip config list` prints as name and value, as it counts for an install."""
    found: dict[str, dict[str, str]] = {section: {} for section in SECTIONS}
    for line in filter(None, listed.splitlines()):
        parts = _LINE.match(line)
        if parts is None:
            raise OnlyPip("a setting that can't be read")
        if parts["section"] in found:
            found[parts["section"]][parts["name"]] = ast.literal_eval(parts["value"])
    return {name: value for section in SECTIONS for name, value in found[section].items()}


def for_uv(settings: Mapping[str, str]) -> tuple[list[str], dict[str, str]]:
    """Return pip's settings as lines of a requirements file and as uv's environment."""
    lines: list[str] = []
    environment: dict[str, str] = {}
    for name, value in settings.items():
        if name in AS_LINES:
            lines += [f"--{name} {one}" for one in value.split()]
        elif name in AS_ENVIRONMENT:
            environment |= dict.fromkeys(AS_ENVIRONMENT[name], value.strip())
        elif name not in MATTERS_NOT:
            raise OnlyPip(name)
    return lines, environment


def pinned_uv(requirements: str) -> str:
    """Return the line that names uv, `uv==1.2.3`."""
    found = re.search(r"^uv==[\w.]+", requirements, re.MULTILINE)
    if found is None:
        raise OnlyPip("uv is not among the requirements")
    return found[0]


def install_with_uv() -> bool:
    """Install everything with uv; False where it did not succeed."""
    lines, environment = for_uv(settings_of(_pip("config", "list", said=True)))
    _pip("install", "--quiet", "--no-compile", pinned_uv(REQUIREMENTS.read_text()))
    command: list[str | Path] = [
        Path(sys.executable).with_name("uv"),
        "pip",
        "install",
        "--quiet",
        "--no-config",
    ]
    # As pip does: of all indexes the version that is asked for.
    command += ["--index-strategy", "unsafe-best-match", "--python", sys.executable, "-r", "-"]
    asked = "\n".join([*lines, f"-r {REQUIREMENTS}", ""])
    own = {**os.environ, "UV_PYTHON_DOWNLOADS": "never", **environment}
    return not subprocess.run(command, input=asked, text=True, env=own, check=False).returncode


def _pip(*asked: str, said: bool = False) -> str:
    command = [sys.executable, "-m", "pip", *asked]
    done = subprocess.run(command, stdout=subprocess.PIPE if said else None, text=True, check=True)
    return done.stdout or ""


def main() -> int:
    """Install the requirements one way or the other; return the exit status."""
    try:
        if install_with_uv():
            return 0
        reason = "uv did not succeed"
    except OnlyPip as only:
        reason = f"uv is not told of {only}"
    except (subprocess.CalledProcessError, OSError):
        reason = "uv can't be had"
    print(f"{reason}; pip installs everything.", flush=True)
    try:
        _pip("install", "--quiet", "--no-compile", "-r", str(REQUIREMENTS))
    except subprocess.CalledProcessError as failed:
        return failed.returncode
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
