"""The samples of the production page, read by the programs that they are for."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

from tests.production.office import ROOT, Failed, make_certificate
from tests.production.told import told

DOCS = ROOT / "docs" / "production"


def check(folder: Path) -> None:
    """Let nginx and systemd read what is there to copy, where they are installed. Raises Failed."""
    folder.mkdir(parents=True, exist_ok=True)
    if shutil.which("nginx"):
        with told("nginx reads its sample"):
            _nginx(folder)
    if shutil.which("systemd-analyze"):
        with told("systemd reads the units"):
            _units(folder)


def _nginx(folder: Path) -> None:
    certificate, key = folder / "certificate.pem", folder / "certificate.key"
    make_certificate(certificate, key)
    said = (DOCS / "nginx.conf").read_text().replace("/etc/office/", f"{folder}/")
    said = re.sub(r"listen (\[::\]:)?(80|443)", r"listen \g<1>1\g<2>", said)
    said = said.replace("/var/log/nginx/", f"{folder}/")
    whole = folder / "nginx.conf"
    whole.write_text(f"pid {folder}/pid;\nevents {{}}\nhttp {{\n{said}\n}}\n")
    _run("nginx", "-t", "-q", "-c", str(whole), "-e", str(folder / "error.log"))


def _units(folder: Path) -> None:
    copies = []
    for path in sorted((DOCS / "units").iterdir()):
        copy = folder / path.name
        # The programs are not there on the machine that only reads.
        copy.write_text(re.sub(r"ExecStart=\S+", "ExecStart=/bin/true", path.read_text()))
        copies.append(str(copy))
    _run("systemd-analyze", "verify", "--man=no", *copies)


def _run(*command: str) -> None:
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    if done.returncode or done.stderr.strip():
        raise Failed(f"{' '.join(command[:2])} refuses the sample:\n{done.stderr}")
