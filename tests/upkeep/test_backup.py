"""The drill: copied away while people work, wiped, put up again by another owner, all compared."""

from __future__ import annotations

import errno
import io
import json
import secrets
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import psycopg
import pyrage
import pytest
from django.contrib.sessions.models import Session
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection, connections
from django.utils import timezone

from evidence import store
from evidence.store import lying, named
from evidence.store.models import StoredFile
from me_office import embedded
from me_office.accounts.roles import Role
from me_office.audit.models import AuditEvent
from me_office.upkeep.backup import noting, postgres, restoring, sealing, taking
from me_office.upkeep.backup.target import DATABASE, LIST, MANIFEST, Target, lacking
from me_office.upkeep.models import Backup, Restoration
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, picture_bytes

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("application_role_password", "processes"),
]
IDENTITY = pyrage.x25519.Identity.generate()


@pytest.fixture(autouse=True)
def office(settings, tmp_path):
    """A store of its own, and a key whose secret half is in a file elsewhere."""
    use_store(settings, tmp_path / "files")
    settings.BACKUP_RECIPIENTS = [str(IDENTITY.to_public())]
    (tmp_path / "key").write_text(f"# public key: {IDENTITY.to_public()}\n{IDENTITY}\n")
    return tmp_path


def use_store(settings: Any, folder: Path) -> None:
    settings.STORAGES = {
        **settings.STORAGES,
        "default": {
            "BACKEND": "django.core.files.storage.FileSystemStorage",
            "OPTIONS": {"location": folder},
        },
    }


def back_up(folder: Path) -> str:
    out = io.StringIO()
    call_command("back_up", str(folder), stdout=out, stderr=out)
    return out.getvalue()


@contextmanager
def empty_database() -> Iterator[dict[str, Any]]:
    """Another database, of a plain role that owns nothing else."""
    reach = postgres.reach(connection.get_connection_params())
    name, secret = f"county_{secrets.token_hex(4)}", secrets.token_hex(12)
    with psycopg.connect(**reach, autocommit=True) as boss:
        boss.execute(f"CREATE ROLE {name} LOGIN PASSWORD '{secret}'")
        boss.execute(f"CREATE DATABASE {name} OWNER {name}")
        try:
            yield {**reach, "dbname": name, "user": name, "password": secret}
        finally:
            boss.execute(f"DROP DATABASE {name} WITH (FORCE)")
            boss.execute(f"DROP ROLE {name}")


def address(params: dict[str, Any]) -> str:
    return "postgresql:///{dbname}?host={host}&user={user}&password={password}".format(**params)


@contextmanager
def moved_to(params: dict[str, Any]) -> Iterator[None]:
    """Let the office's own connection be to another database."""
    before = dict(connection.settings_dict)
    connection.close()
    connection.settings_dict.update(
        NAME=params["dbname"], USER=params["user"], PASSWORD=params["password"]
    )
    try:
        yield
    finally:
        connection.close()
        connection.settings_dict.update(before)


def writers(case: Any, number: int) -> tuple[list[threading.Thread], threading.Event]:
    """People who add photographs until they are told to stop."""
    over = threading.Event()
    people = [make_staff(Role.PATHOLOGIST, name=f"Dr. {n}") for n in range(number)]

    def work(person: Any, first: int) -> None:
        try:
            while not over.is_set():
                add(person, case, picture_bytes(first))
                first += 1
        finally:
            connections.close_all()

    threads = [
        threading.Thread(target=work, args=(person, 100_000 * n))
        for n, person in enumerate(people, start=1)
    ]
    return threads, over


def test_the_drill(settings, office, monkeypatch):
    """Back up under load, again, check, wipe, restore elsewhere: everything is as it was."""
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    first = add(vasko, case, picture_bytes(1))
    orphan = default_storage.save("originals/00/nobody", ContentFile(b"named by no row"))
    list_rows, late = taking._list_rows, []

    def and_somebody_adds_one(*given: Any) -> None:
        """The snapshot is taken; a photograph comes before its files are copied."""
        list_rows(*given)
        thread = threading.Thread(target=lambda: late.append(_added(vasko, case)))
        thread.start()
        thread.join()

    monkeypatch.setattr(taking, "_list_rows", and_somebody_adds_one)
    people, over = writers(case, 2)
    for each in people:
        each.start()
    try:
        # However long it takes: on a busy machine ten seconds may be too short for three.
        while StoredFile.objects.count() <= 3:
            assert all(each.is_alive() for each in people), "nobody works any longer"
            over.wait(0.01)
        back_up(office / "target")
    finally:
        over.set()
        for each in people:
            each.join()
    monkeypatch.undo()
    target = Target(office / "target")
    one = target.manifest(target.latest())
    assert one["not_whole"] == []
    listed = list_of(target, office)
    assert listed[first.file.path] == listed_by_row()
    assert listed[orphan] == listed[late[0]] == taking.NOT_NAMED

    rows = {path: StoredFile.objects.get(path=path).sha256 for path in paths_of(listed)}
    assert len(rows) >= 3
    # Somebody is signed in when the backup is made, and is not when it has been put up.
    Session.objects.create(session_key="k", session_data="", expire_date=timezone.now())
    with monkeypatch.context() as patch:
        patch.setattr(taking, "datetime", _Later)
        said = back_up(office / "target")
    two = target.manifest(target.latest())
    assert two["name"] > one["name"]
    assert two["tables"]["django_session"]["rows"] == 1
    assert f"{len(list_of(target, office))} were there" in said or "copied now" in said
    checked_ones(office)

    events = AuditEvent.objects.count()
    files = {row.path: row.sha256 for row in StoredFile.objects.all()}
    use_store(settings, office / "elsewhere")
    with empty_database() as params, moved_to(params):
        with monkeypatch.context() as patch:
            patch.setattr(restoring.Source, "fill", _power_cut)
            with pytest.raises(CommandError, match="power cut"):
                restore(office)
        # Its files are in their place, the database is empty: it goes on from there.
        assert all(store.holds(path, sha256) for path, sha256 in files.items())
        assert default_storage.exists(restoring.UNDER_WAY)
        with pytest.raises(CommandError, match="a part of another backup"):
            restore(office, backup=one["name"])
        restore(office)
        assert not default_storage.exists(restoring.UNDER_WAY)
        wiped_and_restored(two, files, events, params)


def _power_cut(*_: Any) -> None:
    raise OSError("power cut")


def restore(office: Path, **options: Any) -> None:
    call_command(
        "restore", str(office / "target"), key=office / "key", stdout=io.StringIO(), **options
    )


def _added(person: Any, case: Any) -> str:
    try:
        return str(add(person, case, picture_bytes(77)).file.path)
    finally:
        connections.close_all()


class _Later(taking.datetime):
    """A minute after the first."""

    @classmethod
    def now(cls, tz: Any = None) -> Any:
        return super().now(tz) + timedelta(minutes=1)


def listed_by_row() -> str:
    return StoredFile._meta.label_lower


def paths_of(listed: dict[str, str]) -> list[str]:
    return [path for path, by in listed.items() if by == listed_by_row()]


def list_of(target: Target, office: Path) -> dict[str, str]:
    out = io.BytesIO()
    folder = target.backups / target.latest()
    sealing.open_sealed(folder / LIST, out, sealing.identities(office / "key"))
    lines = [json.loads(line) for line in out.getvalue().splitlines()]
    return {line["path"]: line["named_by"] for line in lines}


def checked_ones(office: Path) -> None:
    """`check_backup` finds both whole, and the office hears of it with the next backup."""
    target = Target(office / "target")
    with empty_database() as params:
        out = io.StringIO()
        call_command(
            "check_backup", str(office / "target"), key=office / "key",
            database=address(params), stdout=out,
        )  # fmt: skip
    assert "is whole: restored and compared" in out.getvalue()
    assert Backup.objects.exclude(checked_at=None).count() == 0
    noting.note_checked(target)
    row = Backup.objects.get(name=target.latest())
    assert row.checked_at is not None and row.problems == 0
    assert AuditEvent.objects.filter(act="check_backup").count() == 1
    assert AuditEvent.objects.filter(act="back_up", table="upkeep_backup").count() == 2


def wiped_and_restored(manifest: Any, files: Any, events: int, params: Any) -> None:
    owners = "SELECT DISTINCT tableowner FROM pg_tables WHERE schemaname = 'public'"
    with connection.cursor() as cursor:
        cursor.execute(owners)
        assert cursor.fetchall() == [(params["user"],)]
        cursor.execute(
            "SELECT has_table_privilege('office_app', 'cases_case', 'UPDATE'),"
            " has_table_privilege('office_app', 'cases_case', 'DELETE'),"
            " has_table_privilege('office_app', 'audit_auditevent', 'INSERT')"
        )
        assert cursor.fetchone() == (True, False, False)
    # The office notes the backup when it is finished: in the next one.
    there = AuditEvent.objects.exclude(act="restore_office").exclude(
        table__in=["django_session"]
    ).count()  # fmt: skip
    assert manifest["tables"]["audit_auditevent"]["rows"] == there <= events
    kept = {row.path: row.sha256 for row in StoredFile.objects.all()}
    assert kept == files
    assert all(store.holds(path, sha256) for path, sha256 in kept.items())
    assert {name for _, names in lying.folders() for name in names} > kept.keys()
    assert store.whose() is store.Whose.OURS
    event = AuditEvent.objects.get(act="restore_office", table="upkeep_restoration")
    assert event.reason == f"Restored from backup {manifest['name']}"
    assert event.transaction > manifest["trail"]["last_act"]
    assert Restoration.objects.get().backup == manifest["name"]
    assert not Session.objects.exists()
    # Numbers go on, guards guard.
    again = add(make_staff(Role.PATHOLOGIST), make_case(), picture_bytes(5))
    assert store.is_whole(again.file)
    with (
        pytest.raises(Exception, match="records of the office stay"),
        connection.cursor() as cursor,
    ):
        cursor.execute("DELETE FROM cases_case")


def test_the_naive_orders_fail(case, vasko):
    """Controls: each leaves what the drill must not leave."""
    files = {name for _, names in lying.folders() for name in names}
    late = add(vasko, case, picture_bytes(1)).file.path
    rows = set(StoredFile.objects.values_list("path", flat=True))
    assert late in rows - files  # files first: a row without its file
    add(vasko, case, picture_bytes(2))
    files = {name for _, names in lying.folders() for name in names}
    assert files - rows  # the database first and every file after: one that nobody named
    assert named.named_among([late]) == {late}


def test_a_place_that_is_not_empty_and_a_backup_that_is_not_whole_are_refused(
    settings, office, case, vasko, monkeypatch
):
    stored = add(vasko, case, picture_bytes(1)).file
    back_up(office / "target")
    target = Target(office / "target")
    folder = target.backups / target.latest()

    def restore(words: str, key: Path = office / "key", **options: Any) -> None:
        with pytest.raises(CommandError, match=words):
            call_command("restore", str(target.folder), key=key, stdout=io.StringIO(), **options)

    restore("file store is not empty")
    use_store(settings, office / "cut")
    default_storage.save(restoring.UNDER_WAY, ContentFile(b'{"backup": "2026'))
    restore("restoring.json in the file store can't be read: empty the store")
    use_store(settings, office / "elsewhere")
    restore("database is not empty")
    as_owner = connection.get_connection_params
    with monkeypatch.context() as patch:
        as_app = lambda: as_owner() | {"options": f"-c role={embedded.APPLICATION}"}  # noqa: E731
        patch.setattr(connection, "get_connection_params", as_app)
        restore(f"{embedded.APPLICATION} may not make tables in this database")
    restore("no backup", backup="2020-01-01T000000Z")
    (office / "other").write_text(str(pyrage.x25519.Identity.generate()))
    restore("does not open", key=office / "other")
    (office / "empty").write_text("# nothing\n")
    restore("no secret key", key=office / "empty")

    sealed = target.file(stored.sha256)
    aside = sealed.rename(office / "aside")
    restore("is missing from the backup")
    aside.rename(sealed)
    for name in (DATABASE, LIST):
        content = (folder / name).read_bytes()
        (folder / name).write_bytes(content[:-9] + bytes([content[-9] ^ 1]) + content[-8:])
        restore("is missing or altered")
        (folder / name).write_bytes(content)
    said = json.loads((folder / MANIFEST).read_text())
    newer = {**said, "migrations": [*said["migrations"], "cases.9999_later"]}
    (folder / MANIFEST).write_text(json.dumps(newer))
    restore("newer version .* cases.9999_later")
    (folder / MANIFEST).write_text(json.dumps({**said, "format": 2}))
    restore("of another format")
    (folder / MANIFEST).unlink()
    restore("no whole backup")
    assert not (office / "elsewhere").exists()


def test_what_is_altered_in_the_target_is_found_and_the_next_backup_mends_it(office, case, vasko):
    stored = add(vasko, case, picture_bytes(1)).file
    back_up(office / "target")
    target = Target(office / "target")
    sealed = target.file(stored.sha256)
    content = sealed.read_bytes()
    sealed.write_bytes(content[:-1] + bytes([content[-1] ^ 1]))
    source = restoring.Source(target, target.latest(), [IDENTITY])
    with pytest.raises(sealing.Broken, match=sealed.name):
        source.open_file({"path": stored.path, "sha256": stored.sha256}, sealing.Nowhere())
    Backup.objects.update(name="before")
    (target.backups / target.latest()).rename(target.backups / "before")
    assert "1 copied now" in back_up(office / "target")
    assert sealing.open_sealed(
        Target(office / "target").file(stored.sha256), io.BytesIO(), [IDENTITY]
    ).sha256 == stored.sha256  # fmt: skip


def test_a_full_target_leaves_no_backup_and_what_was_copied_is_not_copied_again(
    office, case, vasko, monkeypatch
):
    for n in range(3):
        add(vasko, case, picture_bytes(n))
    copy, left = taking._copy, [2]

    def full(*given: Any) -> Any:
        if not left[0]:
            monkeypatch.setattr(sealing.Through, "write", no_room)
        left[0] -= 1
        return copy(*given)

    def no_room(self: Any, piece: bytes) -> int:
        self.error = OSError(errno.ENOSPC, "No space left on device")
        raise self.error

    monkeypatch.setattr(taking, "_copy", full)
    with pytest.raises(CommandError, match="no room left: no backup was made"):
        back_up(office / "target")
    monkeypatch.undo()
    target = Target(office / "target")
    assert target.names() == [] and list(target.files.rglob("part-*")) == []
    assert Backup.objects.count() == 0
    assert "1 copied now, 2 were there." in back_up(office / "target")
    assert len(list(target.backups.iterdir())) == 1


def test_a_file_that_is_not_whole_is_named_and_the_rest_is_copied(office, case, vasko):
    files = [add(vasko, case, picture_bytes(n)).file for n in range(3)]
    default_storage.delete(files[0].path)
    altered = Path(default_storage.path(files[1].path))
    altered.chmod(0o640)
    altered.write_bytes(b"something else")
    out = io.StringIO()
    with pytest.raises(CommandError, match="2 files are not in the backup"):
        call_command("back_up", str(office / "target"), stdout=out, stderr=out)
    assert f"missing: {files[0].path}" in out.getvalue()
    assert f"altered: {files[1].path}" in out.getvalue()
    target = Target(office / "target")
    assert {path for path, _ in target.manifest(target.latest())["not_whole"]} == {
        files[0].path, files[1].path,
    }  # fmt: skip
    assert Backup.objects.get().not_whole == 2


def test_of_an_emptied_store_it_is_said_once_that_it_is_empty(office, case, vasko):
    for n in range(2):
        add(vasko, case, picture_bytes(n))
    back_up(office / "target")
    add(vasko, case, picture_bytes(2))
    for _, names in lying.folders():
        for path in names:
            default_storage.delete(path)
    out = io.StringIO()
    lacks = "1 of the 3 files that the database names is not in this backup."
    with pytest.raises(CommandError, match=f"The file store is empty. {lacks} Mount the disk"):
        call_command("back_up", str(office / "target"), stdout=out, stderr=out)
    assert "missing" not in out.getvalue()
    target = Target(office / "target")
    manifest = target.manifest(target.latest())
    said = f"The file store was empty when the backup was made: {lacks}"
    assert list(lacking(manifest)) == [said]
    ((path, _),) = manifest["not_whole"]
    named_by_each = {**manifest, "store_was_empty": False}
    assert list(lacking(named_by_each)) == [f"was missing when the backup was made: {path}"]


def test_no_second_backup_at_the_same_time_and_none_beside_another_office_s(office):
    tried: list[str] = []

    def again(words: str) -> None:
        for folder in ("target", "other"):
            with pytest.raises(CommandError) as refused:
                back_up(office / folder)
            tried.append(str(refused.value))

    params = postgres.reach(connection.get_connection_params())
    keys = sealing.recipients([str(IDENTITY.to_public())])
    target = Target(office / "target")
    taking.take(target, keys, params, say=lambda words: again(words) if not tried else None)
    assert tried == ["Another backup of this office is being made."] * 2
    mine = json.loads((target.folder / "office.json").read_text())["office"]
    refused = pytest.raises(CommandError, match="Another backup is being made in")
    with target.held(mine), refused:
        back_up(office / "target")
    (target.folder / "office.json").write_text('{"office": "other"}')
    with pytest.raises(CommandError, match="holds the backups of another office"):
        back_up(office / "target")


def test_pg_dump_that_fails_makes_no_backup(office, monkeypatch):
    command = postgres.command
    monkeypatch.setattr(
        postgres, "command", lambda *given: (["false"], command(*given)[1])
    )  # fmt: skip
    with pytest.raises(CommandError, match="pg_dump ended with 1"):
        back_up(office / "target")
    assert Target(office / "target").names() == []
    monkeypatch.undo()
    monkeypatch.setattr(postgres, "major_of", lambda program: 9)
    with pytest.raises(CommandError, match="apt-get install postgresql-client-18"):
        back_up(office / "target")


def test_keys_are_asked_for_by_name(office, settings):
    settings.BACKUP_RECIPIENTS = []
    with pytest.raises(CommandError, match="ME_BACKUP_RECIPIENTS"):
        back_up(office / "target")
    out, err = io.StringIO(), io.StringIO()
    call_command("backup_key", office / "new", stdout=out, stderr=err)
    [secret] = sealing.identities(office / "new")
    assert str(secret.to_public()) == out.getvalue().strip()
    assert (office / "new").stat().st_mode & 0o777 == 0o600
    with pytest.raises(CommandError, match="never overwritten"):
        call_command("backup_key", office / "new")


def test_sealed_bytes_open_with_any_program_of_the_format(tmp_path):
    """By the reference program of age where it is installed, else by the library's other half."""
    sealed = sealing.seal(io.BytesIO(b"abc" * 50_000), tmp_path / "x", [IDENTITY.to_public()])
    content = (tmp_path / "x").read_bytes()
    assert content.startswith(b"age-encryption.org/v1\n-> X25519 ")
    assert pyrage.decrypt(content, [IDENTITY]) == b"abc" * 50_000
    assert sealed.sealed_bytes == len(content) and sealed.size_bytes == 150_000
    for broken in (content[:-1], content[:-20] + b"y" * 20, content + b"more"):
        (tmp_path / "y").write_bytes(broken)
        with pytest.raises(sealing.Broken):
            sealing.open_sealed(tmp_path / "y", io.BytesIO(), [IDENTITY])


def test_two_backups_of_one_second_have_a_folder_each(tmp_path):
    target, began = Target(tmp_path), datetime(2026, 11, 29, 23, 59, 59, tzinfo=UTC)
    assert taking._folder_for(target, began).name == "2026-11-29T235959Z"
    (target.backups / "2026-11-29T235959Z").mkdir(parents=True)
    assert taking._folder_for(target, began).name == "2026-11-30T000000Z"
