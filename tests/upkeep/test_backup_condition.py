"""How old the last backup is, and whether one was ever restored to try it."""

from __future__ import annotations

from datetime import timedelta
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from me_office.upkeep import conditions
from me_office.upkeep.backup import noting
from me_office.upkeep.backup.target import CHECKED, MANIFEST, Target
from me_office.upkeep.management.commands import back_up
from me_office.upkeep.models import Backup
from me_office.upkeep.parts import backups

DAY = timedelta(days=1)


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("rows", "state", "words"),
    [
        ([], "dangerous", "No backup was ever made"),
        ([(DAY * 3, None, 0, 0)], "dangerous", "The last backup is 3 days old"),
        ([(DAY / 2, None, 0, 0)], "dangerous", "No backup was ever restored to try it"),
        ([(DAY / 2, None, 0, 0), (DAY * 50, DAY * 49, 0, 0)], "right", ""),
        ([(DAY / 2, None, 0, 0), (DAY * 150, DAY * 149, 0, 0)], "dangerous", "149 days ago"),
        ([(DAY / 2, DAY / 4, 2, 0)], "dangerous", "2 problems"),
        ([(DAY / 2, DAY / 4, 0, 3)], "dangerous", "3 files"),
    ],
)  # fmt: skip
def test_the_condition_says_how_old_the_backup_is_and_whether_one_was_tried(rows, state, words):
    now = timezone.now()
    for n, (age, checked, problems, not_whole) in enumerate(rows):
        Backup.objects.create(
            name=str(n), folder="/x", taken_at=now - age, files=1, size_bytes=1,
            not_whole=not_whole, problems=problems, checked_at=checked and now - checked,
        )  # fmt: skip
    said = list(conditions._parts["backup"].look())
    assert {one.state for one in said} == {conditions.State(state)}
    assert words in " ".join(one.says for one in said)


@pytest.mark.parametrize(("past", "old"), [(-1, False), (1, True)])
def test_a_backup_is_too_old_after_a_day_and_a_half(past, old):
    age = backups.TOO_OLD + timedelta(seconds=past)
    assert bool(backups.too_old(age)) is old


@pytest.mark.django_db
@pytest.mark.parametrize("left", ["{", "[]", "{}", '{"checked_at": "then", "problems": []}', None])
def test_what_was_written_of_a_try_and_cant_be_read_ends_no_backup(left, tmp_path, monkeypatch):
    target = Target(tmp_path)
    for name in ("1", "2"):
        (target.backups / name).mkdir(parents=True)
        (target.backups / name / MANIFEST).write_text("{}")
        Backup.objects.create(
            name=name, folder="/x", taken_at=timezone.now(), files=1, size_bytes=1, not_whole=0
        )
        noting.write_checked(target, name, at=timezone.now(), problems=["one"])
    unread = target.backups / "1" / CHECKED
    if left is not None:
        unread.write_text(left)
    else:
        read = Path.read_text

        def refused(path: Path) -> str:
            if path == unread:
                raise PermissionError(13, "Permission denied")
            return read(path)

        monkeypatch.setattr(Path, "read_text", refused)
    assert noting.note_checked(target) == ["1"]
    assert [one.problems for one in Backup.objects.exclude(checked_at=None)] == [1]


def test_what_root_writes_of_a_try_belongs_to_whom_the_backup_belongs(tmp_path, monkeypatch):
    given: list[tuple[object, ...]] = []
    monkeypatch.setattr(noting.os, "chown", lambda *words: given.append(words))
    target = Target(tmp_path)
    (target.backups / "1").mkdir(parents=True)
    noting.write_checked(target, "1", at=timezone.now(), problems=[])
    whose = (target.backups / "1").stat()
    assert given == [(target.backups / "1" / CHECKED, whose.st_uid, whose.st_gid)]


@pytest.mark.django_db
def test_a_folder_that_is_not_the_account_s_is_said_in_words(settings, monkeypatch, tmp_path):
    def refused(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied", "/mnt/backup")

    settings.BACKUP_RECIPIENTS = ["age1"]
    monkeypatch.setattr(back_up.sealing, "recipients", lambda keys: keys)
    monkeypatch.setattr(back_up.taking, "take", refused)
    with pytest.raises(CommandError, match=r"not write into /mnt/backup:.* No backup was made"):
        call_command("back_up", str(tmp_path), stdout=StringIO())
