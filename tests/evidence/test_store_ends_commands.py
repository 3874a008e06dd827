"""What is wrong with the store ends a command with one line and what to do, and names its files."""

from __future__ import annotations

import io
from typing import Any

import pytest
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command

from evidence import store
from evidence.fixity.models import FixityProblem, FixityRun
from me_office.upkeep.backup import taking
from me_office.upkeep.backup.target import Target
from me_office.upkeep.giving import writing
from me_office.upkeep.management.commands import give_out
from tests.evidence.fake_bucket import kept
from tests.evidence.waiting import Clock
from tests.upkeep.test_backup import IDENTITY

pytestmark = pytest.mark.django_db
DENIED = store.StoreAway("list_objects_v2: AccessDenied", passing=False)
REFUSES = (
    "The file store refuses the office (list_objects_v2: AccessDenied). Look at the key and its "
    "rights, and at the bucket's name and region. "
)


def raising(error: BaseException) -> Any:
    def work(*_: object, **__: object) -> None:
        raise error

    return work


@pytest.mark.parametrize(
    ("command", "then"),
    [
        (["check_store"], "Run it again: it goes on from there."),
        (["mark_store"], "Run it again."),
        (["move_store", "--to", "/elsewhere"], "Run this again: it goes on from here."),
        (["give_out", "out", "--reason", "x"], "Run it again: it goes on."),
    ],
    ids=lambda said: said[0] if isinstance(said, list) else "",
)
def test_each_command_ends_with_one_line(monkeypatch, tmp_path, command, then):
    monkeypatch.chdir(tmp_path)
    clock = Clock(monkeypatch)
    for error, line in (
        (DENIED, REFUSES),
        (store.StoreFault("It is not what it was."), "It is not what it was. "),
        (store.WrongStore(store.Whose.LOST), f"{store.WrongStore(store.Whose.LOST)} "),
        (OSError(28, "No space left on device"), "[Errno 28] No space left on device. "),
    ):
        monkeypatch.setattr(store, "whose", raising(error))
        monkeypatch.setattr(give_out, "give_out", raising(error))
        with pytest.raises(CommandError) as ended:
            call_command(*command, stdout=io.StringIO(), stderr=io.StringIO())
        assert str(ended.value) == line + then
    assert clock.rests == []


def test_a_file_that_is_another_while_it_is_read_is_named_and_the_rest_is_read(monkeypatch):
    files = [kept(f"file {n}".encode()) for n in range(3)]
    read = store.digest_if_there

    def another(path: str) -> str | None:
        if path == files[1].path:
            raise store.StoreFault("A stored file is not the one that it was.")
        return read(path)

    monkeypatch.setattr(store, "digest_if_there", another)
    out = io.StringIO()
    with pytest.raises(CommandError, match="1 file of the store is damaged"):
        call_command("check_store", stdout=out)
    assert (FixityRun.objects.get().files, FixityProblem.objects.get().file) == (3, files[1])
    assert f"cannot be read: {files[1].sha256}" in out.getvalue()


@pytest.mark.parametrize(
    ("error", "backed_up", "given_out"),
    [
        (store.StoreFault("x"), "altered while it was read", "altered while it was read"),
        (OSError(5, "Input/output error"), "cannot be read: Input/output error",
         "cannot be read in the store"),
    ],
    ids=["another meanwhile", "a bad sector"],
)  # fmt: skip
def test_backup_and_giving_out_name_it_too(monkeypatch, tmp_path, error, backed_up, given_out):
    stored = kept(b"file")
    target, taken = Target(tmp_path / "target"), taking.Taken("now", {})
    given = target, [IDENTITY.to_public()], stored.path, stored.sha256, taken
    monkeypatch.setattr(type(default_storage._wrapped), "_open", raising(error))
    assert taking._copy(*given) == backed_up
    assert writing._copy(stored.path, tmp_path / "x" / "y", stored.sha256) == given_out
    if isinstance(error, store.StoreFault):
        assert taking._copy_unnamed(*given[:3], taken) is None
        assert taken.not_whole == [(stored.path, backed_up)]
    assert not [one for one in tmp_path.rglob("*") if one.is_file()]
