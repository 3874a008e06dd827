"""Note what a version releases, so that nothing of it is edited later.

Run `python -m tests.upgrade.release` when a version is released; it needs no server.
Beside it a small invented office of this version is kept: start `make demo` in an empty folder,
then `pg_dump --no-owner --no-privileges` of its database, packed by xz, into `offices/v….sql.xz`.
"""

from __future__ import annotations

import hashlib
import inspect
import json
import os
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
RELEASED = Path(__file__).with_name("released.json")
ROOMS = ("cases", "evidence", "findings", "me_office")


def migration_files() -> dict[str, str]:
    """Return every migration file of this code with its SHA-256."""
    found = sorted(path for room in ROOMS for path in (ROOT / room).rglob("migrations/0*.py"))
    return {
        str(path.relative_to(ROOT)): hashlib.sha256(path.read_bytes()).hexdigest() for path in found
    }


def tasks() -> dict[str, list[str]]:
    """Return every job by the name that is sent, with the names of what is sent along."""
    from me_office.celery import app

    app.loader.import_default_modules()
    return {
        name: list(inspect.signature(task.run).parameters)
        for name, task in sorted(app.tasks.items())
        if not name.startswith("celery.")
    }


def main() -> None:
    """Write the list of the present version beside those of earlier ones."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"DJANGO_SETTINGS_MODULE": "me_office.settings", "ME_DATA_DIR": folder}
        _write()


def _write() -> None:
    import django

    django.setup()
    from me_office.version import VERSION

    released = json.loads(RELEASED.read_text()) if RELEASED.exists() else {}
    released[VERSION] = {"migrations": migration_files(), "tasks": tasks()}
    RELEASED.write_text(json.dumps(released, indent=1) + "\n")


if __name__ == "__main__":
    main()
