"""Files that lie in a bucket, copied away, tried and put up again while its server fails."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache, partial
from typing import Any

import pytest
from botocore.loaders import create_loader
from django.core.files.storage import default_storage
from django.core.management import CommandError

from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.upkeep.backup import taking
from me_office.upkeep.backup.target import Target
from me_office.upkeep.models import Backup
from tests.builders import make_case, make_staff
from tests.evidence.fake_bucket import Server, serving
from tests.evidence.pictures import add, picture_bytes
from tests.evidence.waiting import Clock
from tests.upkeep.test_backup import IDENTITY, back_up, list_of

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("application_role_password", "processes"),
    # The S3 client leaves closing its sockets to the interpreter.
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]


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
    monkeypatch.setattr(default_storage.breaker, "_clock", it)
    return it


def use_bucket(settings: Any, server: Server, folder: str) -> None:
    options = {
        "bucket_name": "tarn", "endpoint_url": server.endpoint, "region_name": "us-east-1",
        "access_key": "tarn", "secret_key": "tarn-county", "file_overwrite": False,
        "location": folder,
    }  # fmt: skip
    backend = {"BACKEND": "evidence.store.bucket.Bucket", "OPTIONS": options}
    settings.STORAGES = {**settings.STORAGES, "default": backend}


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
