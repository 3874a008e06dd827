"""The backup: how old it is, and whether one was ever restored to try it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from django.conf import settings
from django.utils import timezone

from me_office.shell.templatetags.office import short_moment
from me_office.upkeep.conditions import Said, condition, dangerous, right
from me_office.upkeep.models import Backup

# Common practice: one a day, and half a day in which somebody notices that it did not come.
TOO_OLD = timedelta(hours=36)
# Common practice: one a quarter is restored to try it.
TRY_EVERY = timedelta(days=100)
TAKE = "As the owner of the tables: manage.py back_up. See docs/production/backup.md."
TRY = "On a machine that has the secret key: manage.py check_backup. See docs/production/backup.md."


def too_old(age: timedelta) -> str:
    """Say how old a backup is, where it is too old."""
    if age <= TOO_OLD:
        return ""
    days = round(age / timedelta(days=1))
    return f"The last backup is {days} day{'s' if days != 1 else ''} old."


@condition("backup", asks_database=True)
def backup() -> Iterator[Said]:
    """Is there a backup of today, and does one open?"""
    if settings.EMBEDDED:
        yield right("A try-out on embedded servers: nothing is backed up.")
        return
    last = Backup.objects.order_by("-taken_at").first()
    if last is None:
        yield dangerous("No backup was ever made.", TAKE)
        return
    wrong = [*_of_the_last(last), *_of_the_tries()]
    yield from wrong or [right(f"The last one is of {short_moment(last.taken_at)}.")]


def _of_the_last(last: Backup) -> Iterator[Said]:
    if said := too_old(timezone.now() - last.taken_at):
        yield dangerous(said, TAKE)
    if last.not_whole:
        yield dangerous(
            f"{last.not_whole} files were missing or altered when the last backup was made.",
            "manage.py check_store names them; put them back from an earlier backup.",
        )


def _of_the_tries() -> Iterator[Said]:
    tried = Backup.objects.exclude(checked_at=None).order_by("-checked_at").first()
    if tried is None or tried.checked_at is None:
        yield dangerous("No backup was ever restored to try it.", TRY)
        return
    ago = timezone.now() - tried.checked_at
    if ago > TRY_EVERY:
        yield dangerous(f"The last time a backup was tried was {ago.days} days ago.", TRY)
    if tried.problems:
        yield dangerous(
            f"When backup {tried.name} was restored to try it, {tried.problems} problems were "
            "found.",
            "Make another one at once: manage.py back_up; then try it: manage.py check_backup.",
        )
