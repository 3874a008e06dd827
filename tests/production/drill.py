"""The worst day, tried: copied away while people work, everything lost, put up again elsewhere."""

from __future__ import annotations

import json
import subprocess
import sys

import psycopg

from tests.production.office import ROOT, Failed, Office
from tests.production.told import told

# A case and a photograph of it, again and again, by somebody who doesn't know of the backup.
AT_WORK = """
import time
from me_office.accounts.roles import Role
from tests.builders import make_staff
from tests.cases.entries import open_case
from tests.evidence.pictures import add, picture_bytes
by = make_staff(Role.INVESTIGATOR, username=NAME, name=f"L. Quill, {NAME}")
until, number = time.monotonic() + 25, 0
while time.monotonic() < until:
    number += 1
    if number == 3:
        print("at work", flush=True)
    add(by, open_case(by), picture_bytes(number), name=f"IMG_{number:04d}.jpg")
print(number)
"""
READ = """
import json
from django.apps import apps
print(json.dumps({m._meta.db_table: m._base_manager.count() for m in apps.get_models()
                  if m._meta.managed and not m._meta.proxy}))
"""


def worst_day(office: Office, name: str = "drill", **elsewhere: str) -> None:
    """Back up under work, restore into an empty place as another owner, and compare.

    `elsewhere` is where the files are put again, as settings; another folder if nothing is said.
    """
    key, backups = office.home / f"{name}.key", office.home / f"{name}-backups"
    backups.mkdir(mode=0o700)
    recipient = office.manage("backup_key", str(key)).split()[0]
    seal = {"ME_BACKUP_RECIPIENTS": recipient, "ME_BACKUP_TARGET": str(backups)}
    with told("backed up while somebody works, then once more when they are done"):
        worker = subprocess.Popen(
            [sys.executable, "manage.py", "shell", "-v0", "-c", f"NAME = {name!r}\n{AT_WORK}"],
            cwd=ROOT, env=office.environment, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        if worker.stdout is None or not worker.stdout.readline():
            raise Failed("nobody could begin to work")
        during = office.manage("back_up", as_owner=True, **seal).strip().splitlines()[-1]
        made, _ = worker.communicate(timeout=120)
        if worker.returncode:
            raise Failed("nobody could work while the office was backed up")
        print(f"    {during}\n    {made.strip().splitlines()[-1]} cases were made meanwhile")
    with told("the backup of that moment is whole: restored and compared"):
        print(f"    {office.manage('check_backup', str(backups), f'--key={key}').strip()[-60:]}")
    after = office.manage("back_up", as_owner=True, **seal).strip().splitlines()[-1]
    print(f"    {after}")
    before = json.loads(office.manage("shell", "-v0", "-c", READ))
    with told("everything lost, and put up again elsewhere, as another owner"):
        again = _put_up(office, str(backups), str(key), name, elsewhere)
    gone = {name: (count, again[name]) for name, count in before.items() if again[name] < count}
    # What people still did after the second backup is theirs to do again; here nobody did.
    if gone.keys() - {"django_session", "upkeep_heartbeat", "upkeep_backup"}:
        raise Failed(f"rows are missing after the drill: {gone}")


def _put_up(
    office: Office, backups: str, key: str, name: str, elsewhere: dict[str, str]
) -> dict[str, int]:
    owner, place = f"{name}_owner", f"{name}_put_up_again"
    with psycopg.connect(office.postgresql.superuser(), autocommit=True) as link:
        link.execute(f"CREATE ROLE {owner} LOGIN PASSWORD 'of the drill'")
        link.execute(f"GRANT office_app TO {owner} WITH ADMIN OPTION, INHERIT FALSE")
        link.execute(f"CREATE DATABASE {place} OWNER {owner} TEMPLATE template0")
    files = office.home / f"{name}-files-again"
    files.mkdir(mode=0o700)
    there = {
        "DATABASE_URL": office.postgresql.url(owner, "of%20the%20drill", place),
        **(elsewhere or {"ME_FILE_STORE": str(files)}),
    }
    print("    " + office.manage("restore", backups, f"--key={key}", **there).strip()[-300:])
    office.manage("check_store", **there)
    return dict(json.loads(office.manage("shell", "-v0", "-c", READ, **there)))
