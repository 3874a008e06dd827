"""An office that earlier code began is brought up to date, and people go on working in it."""

from __future__ import annotations

import subprocess
from pathlib import Path

import psycopg

from tests.production.office import OWNER, Failed, Office
from tests.production.told import told
from tests.upgrade.kept import OFFICES, rows, script

READ_EVERY_CASE = """
from django.test import Client
from cases.models import Case
from me_office.accounts.models import Staff
client = Client(SERVER_NAME="localhost", HTTP_X_FORWARDED_PROTO="https")
how = "me_office.accounts.backends.StaffBackend"
client.force_login(Staff.objects.get(username="thorne"), backend=how)
wrong, read = [], 0
for case in Case.objects.all():
    for page in ("", "scene/", "body/", "chart/", "photographs/", "report/", "history/", "court/"):
        status = client.get(f"/cases/{case.pk}/{page}", secure=True, follow=True).status_code
        read += 1
        if status != 200 and not (case.number is None and status in (403, 404)):
            wrong.append((status, str(case.number), page))
print(f"{read} pages read; wrong: {wrong}")
"""


def pull_up(office: Office) -> None:
    """Bring every kept office up to date, beside the office that runs."""
    for number, kept in enumerate(OFFICES, 1):
        with told(f"an office of {kept.name.removesuffix('.sql.xz')} brought up to date"):
            _pull_up(office, kept, f"kept_{number}")


def _pull_up(office: Office, kept: Path, database: str) -> None:
    with psycopg.connect(office.postgresql.superuser(), autocommit=True) as link:
        link.execute(f"CREATE DATABASE {database} OWNER {OWNER} TEMPLATE template0")
    address = office.postgresql.url(OWNER, office.owner_password, database)
    done = subprocess.run(
        [office.postgresql.program / "psql", "-X", "-q", "-v", "ON_ERROR_STOP=1", "-d", address],
        input=script(kept), capture_output=True, text=True, check=False,
    )  # fmt: skip
    if done.returncode:
        raise Failed(f"{kept.name} could not be loaded: {done.stderr[-500:]}")
    there = {"DATABASE_URL": address}
    office.manage("migrate", "--noinput", "--verbosity=0", **there)
    office.manage("grant_app_role", **there)
    with psycopg.connect(address) as link:
        for (table,) in link.execute(
            "SELECT table_name FROM information_schema.tables WHERE table_schema = 'public'"
        ).fetchall():
            _check_rows(link, kept, table)
        triggers = _triggers(link)
    with psycopg.connect(office.postgresql.superuser(database="county")) as link:
        if (of_now := _triggers(link)) != triggers:
            raise Failed(f"triggers differ: {sorted(of_now ^ triggers)[:5]}")
    said = office.manage(
        "shell", "-v0", "-c", READ_EVERY_CASE, ME_REQUIRE_SECOND_FACTOR="0", **there
    )
    print(f"    {said.strip().splitlines()[-1]}")
    if "wrong: []" not in said:
        raise Failed(said)


def _check_rows(link: psycopg.Connection, kept: Path, table: str) -> None:
    """Nothing that was there may be gone; what the way itself adds may be."""
    try:
        before = len(rows(kept, table))
    except StopIteration:
        return  # a table that came later
    (now,) = link.execute(
        psycopg.sql.SQL("SELECT count(*) FROM {}").format(psycopg.sql.Identifier(table))
    ).fetchone() or (0,)
    if now < before:
        raise Failed(f"{kept.name}: {table} had {before} rows and has {now}")


def _triggers(link: psycopg.Connection) -> set[tuple[str, str]]:
    found = link.execute(
        "SELECT tgrelid::regclass::text, tgname FROM pg_trigger WHERE NOT tgisinternal"
    )
    return set(found.fetchall())
