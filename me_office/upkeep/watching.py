"""Since when a condition is as it is, and who is told by mail.

An alarm is sent when a second look in a row finds the same, once, again after a day, and when it
is over: a moment's fault wakes nobody, and a long one does not write every minute. The watch
(`watch.py`) tells of everything but itself; that it is silent, a worker's job tells.
"""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Iterable
from datetime import datetime, timedelta

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.db import transaction
from django.utils import timezone

from me_office.shell.templatetags.office import moment
from me_office.upkeep.beats import WATCH
from me_office.upkeep.conditions import WHERE, Condition, State
from me_office.upkeep.models import Standing

log = logging.getLogger(__name__)
LOOKS_BEFORE_AN_ALARM = 2
AGAIN_AFTER = timedelta(days=1)
# What nobody else could tell of; each thing has one who tells of it, so that no two mails do.
OF_THE_JOB = WATCH
# The most pressing first.
ORDER = (State.WRONG, State.DANGER, State.NOT_SEEN, State.RIGHT)


def worst(found: Iterable[Condition]) -> list[Condition]:
    """Return one condition a name, the most pressing of it, with all of its words."""
    by_name: dict[str, list[Condition]] = {}
    for one in found:
        by_name.setdefault(one.name, []).append(one)
    return [_joined(ones) for ones in by_name.values()]


def _joined(ones: list[Condition]) -> Condition:
    ones = sorted(ones, key=lambda one: ORDER.index(one.state))
    worst_state = ones[0].state
    said = [one for one in ones if one.state is not State.RIGHT] or ones
    return Condition(
        ones[0].name,
        worst_state,
        " ".join(filter(None, (one.says for one in said))),
        "\n".join(dict.fromkeys(filter(None, (one.to_do for one in said)))),
    )


def keep(found: Iterable[Condition]) -> list[Standing]:
    """Keep how each condition stands now; return those of which the job has to tell.

    Two looks that are kept at the same time wait for each other.
    """
    now, due = timezone.now(), []
    with transaction.atomic():
        seen = worst(found)
        there = _locked()
        new = [one.name for one in seen if one.name not in there]
        if new:
            # What is not there yet can't be locked: the other one may be making it now.
            fresh = [Standing(name=name, state=State.RIGHT.value, looks=0) for name in new]
            Standing.objects.bulk_create(fresh, ignore_conflicts=True)
            there = _locked()
        for one in seen:
            standing = there[one.name]
            if move(standing, one, now) and one.name == OF_THE_JOB:
                note_told(standing, now)
                due.append(standing)
            standing.save()
    return due


def _locked() -> dict[str, Standing]:
    return {one.pk: one for one in Standing.objects.select_for_update().order_by("pk")}


def move(standing: Standing, one: Condition, now: datetime) -> bool:
    """Move a kept condition to what was found; tell whether an alarm is due."""
    before = State(standing.state)
    same = (before is State.RIGHT) == (one.state is State.RIGHT)
    standing.looks = standing.looks + 1 if same else 1
    if before is not one.state:
        standing.since = now
    standing.state, standing.says, standing.to_do = one.state.value, one.says, one.to_do
    standing.looked_at = now
    if standing.looks < LOOKS_BEFORE_AN_ALARM:
        return False
    if one.state is State.RIGHT:
        # Over with the second look as well: what comes and goes does not write each time.
        return standing.mailed_at is not None
    return standing.mailed_at is None or now - standing.mailed_at >= AGAIN_AFTER


def note_told(standing: Standing, now: datetime) -> None:
    """Note that people are told of it now, or that it is over."""
    standing.mailed_at = None if standing.state == State.RIGHT else now


def tell(due: list[Standing]) -> None:
    """Send one mail about all that is due; one that cannot be sent is due at the next look."""
    if not due or not settings.ADMINS:
        return
    if send(letter(due)):
        return
    for one in due:
        over = one.state == State.RIGHT
        Standing.objects.filter(pk=one.pk).update(mailed_at=timezone.now() if over else None)


def letter(due: list[Standing], more: str = "") -> EmailMessage:
    """Write one mail about all that is due; the same once more, if it has to be sent again."""
    over = [one for one in due if one.state == State.RIGHT]
    pressing = [one for one in due if one.state != State.RIGHT]
    lines = []
    for one in sorted(pressing, key=lambda one: ORDER.index(State(one.state))):
        since = moment(one.since)
        lines += [f"{one.state}: {one.name}, since {since}.", one.says, one.to_do, ""]
    lines += [f"right again: {one.name}." for one in over]
    lines += [more] if more else []
    if pressing:
        pages = [f"{origin}/office/" for origin in settings.CSRF_TRUSTED_ORIGINS[:1]]
        places = " or ".join([*pages, "manage.py ready"])
        lines += ["", f"To see what is still so: {places}. {WHERE}"]
    subject = f"{len(pressing)} things need attention" if len(pressing) > 1 else (
        f"{pressing[0].name} needs attention" if pressing else "right again"
    )  # fmt: skip
    told = sorted((one.name, one.state, str(one.since), str(one.mailed_at)) for one in due)
    name = hashlib.sha256(repr(told).encode()).hexdigest()[:32]
    place = settings.SERVER_EMAIL.rpartition("@")[2] or "office.invalid"
    return EmailMessage(
        f"{settings.OFFICE_NAME}: {subject}", "\n".join(lines), settings.SERVER_EMAIL,
        [address for _, address in settings.ADMINS], headers={"Message-ID": f"<{name}@{place}>"},
    )  # fmt: skip


def send(mail: EmailMessage, *, patience: float | None = None) -> bool:
    """Send a mail; tell whether the server took it. `patience`: seconds for each of its answers."""
    try:
        mail.connection = get_connection(timeout=patience)
        mail.send()
    except OSError:
        log.error("The alarm could not be mailed: %s", mail.subject, exc_info=True)
        return False
    return True
