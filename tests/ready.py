"""A cluster with a migrated database, made once for the state of the migrations and then copied.

Migrating takes a core a quarter of a minute, and every worker of every run would pay it. What is
kept is keyed by the migrations; the run still migrates its copy, which makes again what else has
changed, triggers and rights among it.
"""

from __future__ import annotations

import fcntl
import hashlib
import os
import secrets
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg

from me_office import embedded

ROOT = Path(__file__).resolve().parent.parent
KEPT = Path(f"/tmp/office-ready-{os.geteuid()}")
MOST_KEPT = 8
NAME = "ready"


def put_into(home: Path) -> bool:
    """Copy the cluster into `home`, making it first if needed; False if that is not possible."""
    with _made() as made:
        if made is None:
            return False
        # As root the files belong to the account that runs PostgreSQL; -a keeps that.
        subprocess.run(["cp", "-a", f"{made}/.", home], check=True)
        os.utime(made)
    return True


@contextmanager
def _made() -> Iterator[Path | None]:
    """Yield the kept cluster, made if needed, held so that nobody else makes or clears it."""
    kept = _kept_folder()
    if kept is None:
        yield None
        return
    made = kept / _key()
    with (kept / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists():
            _make(made)
            _forget_old(kept)
        yield made


def office_in(home: Path) -> None:
    """Put an office's own cluster into `home`, migrated and empty, where that is possible."""
    if not put_into(home):
        return
    server = embedded.PostgreSQL(home, lasting=False)
    server.start()
    try:
        first = embedded.database_url(home, embedded.OWNER).replace(
            f"/{embedded.DATABASE}?", "/postgres?"
        )
        with psycopg.connect(first, autocommit=True) as connection:
            connection.execute(f"DROP DATABASE {embedded.DATABASE}")
            connection.execute(f"ALTER DATABASE {NAME} RENAME TO {embedded.DATABASE}")
    finally:
        server.stop()


def rename(home: Path, database: str) -> None:
    """Give the copied database the name under which the run looks for its own."""
    first = embedded.database_url(home, embedded.OWNER)
    with psycopg.connect(first, autocommit=True) as connection:
        connection.execute(f'ALTER DATABASE {NAME} RENAME TO "{database}"')


def _kept_folder() -> Path | None:
    KEPT.mkdir(mode=0o711, exist_ok=True)
    if KEPT.is_symlink() or KEPT.stat().st_uid != os.geteuid():
        return None
    return KEPT


def _key() -> str:
    """Name the state of the migrations."""
    digest = hashlib.sha256()
    decides = [ROOT / "requirements.txt"]
    for app in ("cases", "evidence", "findings", "me_office"):
        decides += sorted((ROOT / app).rglob("migrations/*.py"))
        decides += sorted((ROOT / app).rglob("*.sql"))
    for path in decides:
        digest.update(str(path.relative_to(ROOT)).encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:24]


def _make(made: Path) -> None:
    aside = made.with_name(f"{made.name}.{secrets.token_hex(4)}")
    shutil.rmtree(aside, ignore_errors=True)
    aside.mkdir(mode=0o711)
    server = embedded.PostgreSQL(aside, lasting=False)
    try:
        server.start()
        first = embedded.database_url(aside, embedded.OWNER)
        with psycopg.connect(first, autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {NAME}")
        environment = {
            **os.environ,
            "DATABASE_URL": first.replace(f"/{embedded.DATABASE}?", f"/{NAME}?"),
            "REDIS_URL": "redis://127.0.0.1:1/0",
            "DJANGO_SETTINGS_MODULE": "me_office.settings",
            "ME_TESTING": "1",
            "ME_SECRET_KEY": secrets.token_urlsafe(50),
            "ME_HTTPS": "0",
            "ME_DATA_DIR": str(aside / "unused"),
        }
        migrate = [sys.executable, "manage.py", "migrate", "--verbosity=0"]
        subprocess.run(migrate, cwd=ROOT, env=environment, check=True)
        server.stop()
        shutil.rmtree(aside / "unused", ignore_errors=True)
        aside.rename(made)
    finally:
        server.stop()
        shutil.rmtree(aside, ignore_errors=True)


def _forget_old(kept: Path) -> None:
    folders = [path for path in kept.iterdir() if path.is_dir()]
    folders.sort(key=lambda path: path.stat().st_mtime, reverse=True)
    for path in folders[MOST_KEPT:]:
        shutil.rmtree(path, ignore_errors=True)


if __name__ == "__main__":
    with _made():
        pass
