"""Make the key that opens the office's backups."""

from __future__ import annotations

import os
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

import pyrage
from django.core.management.base import BaseCommand, CommandError


class Command(BaseCommand):
    help = (
        "Writes a secret key of age into FILE, as age-keygen does, and prints the public key for "
        "ME_BACKUP_RECIPIENTS. Run it elsewhere than on the server, and keep FILE off it."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, file: Path, **options: Any) -> None:
        identity = pyrage.x25519.Identity.generate()
        try:
            handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        except FileExistsError as error:
            raise CommandError(f"{file} is there already; a key is never overwritten.") from error
        with os.fdopen(handle, "w") as out:
            out.write(f"# public key: {identity.to_public()}\n{identity}\n")
        self.stdout.write(f"{identity.to_public()}")
        self.stderr.write(
            f"{file} opens every backup: keep two copies of it in two places, neither on the "
            "server nor beside the backups. Without it nothing can be restored."
        )
