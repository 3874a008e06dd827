"""Offices as earlier code left them: invented, dumped by PostgreSQL's own pg_dump, never edited.

Each is a plain SQL script without owners and rights, packed by xz.
"""

from __future__ import annotations

import lzma
from pathlib import Path

OFFICES = sorted((Path(__file__).parent / "offices").glob("*.sql.xz"))


def script(office: Path) -> str:
    """Return a kept office as SQL."""
    return lzma.decompress(office.read_bytes()).decode()


def rows(office: Path, table: str) -> list[list[str]]:
    """Return the rows of one table, each as its columns in text."""
    lines = iter(script(office).splitlines())
    next(line for line in lines if line.startswith(f"COPY public.{table} ("))
    found = []
    for line in lines:
        if line == "\\.":
            return found
        found.append(line.split("\t"))
    raise AssertionError(f"{office.name}: {table} has no end")


def migrations(office: Path) -> list[tuple[str, str]]:
    """Return the migrations that had run in a kept office, as app and name."""
    return [(app, name) for _, app, name, _ in rows(office, "django_migrations")]
