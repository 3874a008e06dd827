"""How old the last backup is, and whether one was ever restored to try it."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from me_office.upkeep import conditions
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
