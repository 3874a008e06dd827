"""Files that lie in a bucket, copied away, tried and put up again while its server fails."""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache, partial
from pathlib import Path
from typing import Any

import pyrage
import pytest
from botocore.loaders import create_loader
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command

from evidence import store
from evidence.store import limits
from evidence.store.away import PAUSE_SECONDS, Breaker
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.upkeep.backup import noting, restoring, taking
from me_office.upkeep.backup.target import CHECKED, DATABASE, Target
from me_office.upkeep.management.commands.restore import GOES_ON
from me_office.upkeep.models import Backup, Restoration
from tests.builders import make_case, make_staff
from tests.evidence.fake_bucket import Server, serving, use_bucket
from tests.evidence.pictures import add, picture_bytes
from tests.evidence.waiting import Clock
from tests.upkeep.test_backup import (
    IDENTITY,
    address,
    back_up,
    empty_database,
    list_of,
    moved_to,
    restore,
)

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("application_role_password", "processes"),
    # The S3 client leaves closing its sockets to the interpreter.
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]
WRONGLY = "keeps wrongly"


@pytest.fixture
def server(settings, tmp_path, monkeypatch) -> Iterator[Server]:
    """Set the office's store to a bucket, and its backups to a key that is in a file."""
    monkeypatch.setattr("botocore.session.create_loader", cache(create_loader))
    settings.BACKUP_RECIPIENTS = [str(IDENTITY.to_public())]
    (tmp_path / "key").write_text(f"{IDENTITY}\n")
    with serving() as it:
        use_bucket(settings, it, "one")
        yield it


@pytest.fixture
def clock(server, monkeypatch) -> Clock:
    it = Clock(monkeypatch, server)
    default_storage.breaker._clock = it
    monkeypatch.setattr(limits, "folder_breaker", Breaker(clock=it))
    return it


def after(number: int, then: Callable[[], object], work: Callable[..., Any]) -> Any:
    """Return the work, after so many times of which something happens."""
    times: list[int] = []

    def done(*given: Any) -> Any:
        came = work(*given)
        times.append(1)
        if len(times) == number:
            then()
        return came

    return done


def before(first: Callable[[], object], work: Callable[..., Any]) -> Any:
    def done(*given: Any) -> Any:
        first()
        return work(*given)

    return done


@contextmanager
def a_bit_turned(there: Path) -> Iterator[None]:
    content = there.read_bytes()
    there.write_bytes(content[:-9] + bytes([content[-9] ^ 1]) + content[-8:])
    yield
    there.write_bytes(content)


def check(office: Path, key: str = "key", database: str = "") -> str:
    """Try the newest backup, on a server that is started for it where no database is named."""
    out = io.StringIO()
    call_command(
        "check_backup", str(office / "target"), key=office / key, database=database,
        stdout=out, stderr=out,
    )  # fmt: skip
    return out.getvalue()


def test_a_silence_is_waited_for_and_one_that_lasts_leaves_nothing_half_done(
    server, clock, tmp_path, monkeypatch
):
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    for shade in range(3):
        add(vasko, case, picture_bytes(shade))
    target = Target(tmp_path / "target")
    copy, list_rows = taking._copy, taking._list_rows
    monkeypatch.setattr(taking, "_copy", after(1, partial(clock.fails, "503"), copy))
    with pytest.raises(CommandError) as ended:
        back_up(target.folder)
    assert str(ended.value) == (
        "The file store is not answering (get_object: SlowDown); it was waited for, 30 minutes in "
        "all. Look at the bucket's server and the line to it, or at the folder's disk. No backup "
        "was made. What was copied stays for the next one: run it again."
    )
    assert clock.now == 1800
    assert list(target.backups.iterdir()) == [] == list(target.files.rglob("part-*"))
    assert Backup.objects.count() == 0

    server.fault = ""
    late: list[str] = []

    def somebody_adds_one() -> None:
        late.append(add(vasko, case, picture_bytes(77)).file.path)

    monkeypatch.setattr(taking, "_list_rows", after(1, somebody_adds_one, list_rows))
    monkeypatch.setattr(taking, "_copy", after(2, partial(clock.fails, "503", 1700), copy))
    said = back_up(target.folder)
    assert "The file store is not answering (get_object: SlowDown): waiting ..." in said
    assert "3 files that they name, 1 other files; 3 copied now, 1 were there." in said
    listed = list_of(target, tmp_path)
    assert listed.pop(late[0]) == taking.NOT_NAMED
    assert set(listed.values()) == {StoredFile._meta.label_lower} and len(listed) == 3
    assert Backup.objects.get().not_whole == 0


def test_a_backup_is_tried_on_a_server_of_its_own_and_put_up_in_a_bucket(
    server, clock, settings, tmp_path, monkeypatch
):
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    files = [add(vasko, case, picture_bytes(shade)).file for shade in range(2)]
    target = Target(tmp_path / "target")
    back_up(target.folder)
    with monkeypatch.context() as patch:
        patch.setattr(restoring, "scratch", None)
        # What is seen without a server starts none.
        dump = target.backups / target.latest() / DATABASE
        with a_bit_turned(dump), pytest.raises(CommandError, match="is missing or altered"):
            check(tmp_path)
        sealed = target.file(files[0].sha256)
        aside = sealed.rename(tmp_path / "aside")
        with pytest.raises(CommandError, match=f"{files[0].sha256}. is missing from the backup"):
            check(tmp_path)
        aside.rename(sealed)
        (tmp_path / "other").write_text(str(pyrage.x25519.Identity.generate()))
        with pytest.raises(CommandError, match="does not open"):
            check(tmp_path, key="other")
    one_problem = pytest.raises(CommandError, match="is not whole: 1 problems")
    with a_bit_turned(sealed), empty_database() as params, one_problem:
        check(tmp_path, database=address(params))
    [problem] = json.loads((target.backups / target.latest() / CHECKED).read_text())["problems"]
    assert problem.startswith(f"{sealed.name} does not open")
    assert f"Backup {target.latest()} is whole: restored and compared." in check(tmp_path)
    assert json.loads((target.backups / target.latest() / CHECKED).read_text())["problems"] == []

    use_bucket(settings, server, "two")
    default_storage.breaker._clock = clock
    path = f"two/{files[0].path}"
    with empty_database() as params, moved_to(params):
        put = restoring._put_file
        server.tells_digests = False
        monkeypatch.setattr(restoring, "_put_file", before(partial(clock.fails, WRONGLY), put))
        with pytest.raises(CommandError, match=f"did not keep .* as it was sent. {GOES_ON}"):
            restore(tmp_path)
        assert path not in server.objects
        server.fault, server.tells_digests = "", True
        put = after(1, partial(clock.fails, "503", 200), put)
        monkeypatch.setattr(restoring, "_put_file", put)
        noted = after(1, partial(clock.fails, "503"), noting.note_restored)
        monkeypatch.setattr(noting, "note_restored", noted)
        with pytest.raises(CommandError, match=f"30 minutes in all.* {GOES_ON}"):
            restore(tmp_path)
        assert Restoration.objects.get().backup == target.latest()
        assert f"two/{store.MARK}" not in server.objects
        server.fault, clock.now = "", clock.now + PAUSE_SECONDS
        restore(tmp_path)
        assert f"two/{restoring.UNDER_WAY}" not in server.objects
        assert store.whose() is store.Whose.OURS
        assert Restoration.objects.count() == 1
        assert all(store.is_whole(one) for one in StoredFile.objects.all())
    assert server.objects[path] == server.objects[path.replace("two", "one")]
