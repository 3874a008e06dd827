"""Since when a condition is as it is, and who is told by mail.

An alarm is sent when a second look in a row finds the same, once, again after a day, and when it
is over: a moment's fault wakes nobody, and a long one does not write every minute.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable
from datetime import datetime, timedelta

from django.conf import settings
from django.core.mail import mail_admins
from django.db import transaction
from django.utils import timezone

from me_office.upkeep.conditions import Condition, State
from me_office.upkeep.models import Standing

log = logging.getLogger(__name__)
LOOKS_BEFORE_AN_ALARM = 2
AGAIN_AFTER = timedelta(days=1)
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
    """Keep how each condition stands now; return those of which an alarm is due.

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
            if _moved(standing, one, now):
                due.append(standing)
            standing.save()
    return due


def _locked() -> dict[str, Standing]:
    return {one.pk: one for one in Standing.objects.select_for_update().order_by("pk")}


def _moved(standing: Standing, one: Condition, now: datetime) -> bool:
    """Move a kept condition to what was found; tell whether an alarm is due."""
    before = State(standing.state)
    same = (before is State.RIGHT) == (one.state is State.RIGHT)
    standing.looks = standing.looks + 1 if same else 1
    if before is not one.state:
        standing.since = now
    standing.state, standing.says, standing.to_do = one.state.value, one.says, one.to_do
    standing.looked_at = now
    if one.state is State.RIGHT:
        # Over with the second look as well: what comes and goes does not write each time.
        over = standing.mailed_at is not None and standing.looks >= LOOKS_BEFORE_AN_ALARM
        if over:
            standing.mailed_at = None
        return over
    due = standing.looks >= LOOKS_BEFORE_AN_ALARM and (
        standing.mailed_at is None or now - standing.mailed_at >= AGAIN_AFTER
    )
    if due:
        standing.mailed_at = now
    return due


def tell(due: list[Standing]) -> None:
    """Send one mail about all that is due; one that cannot be sent is due at the next look."""
    if not due or not settings.ADMINS:
        return
    over = [one for one in due if one.state == State.RIGHT]
    pressing = [one for one in due if one.state != State.RIGHT]
    lines = []
    for one in sorted(pressing, key=lambda one: ORDER.index(State(one.state))):
        since = f"{one.since:%Y-%m-%d %H:%M} UTC"
        lines += [f"{one.state}: {one.name}, since {since}.", one.says, one.to_do, ""]
    lines += [f"right again: {one.name}." for one in over]
    subject = f"{len(pressing)} things need attention" if len(pressing) > 1 else (
        f"{pressing[0].name} needs attention" if pressing else "right again"
    )  # fmt: skip
    if not _mailed(subject, lines):
        Standing.objects.filter(pk__in=[one.pk for one in pressing]).update(mailed_at=None)
        Standing.objects.filter(pk__in=[one.pk for one in over]).update(mailed_at=timezone.now())


def _mailed(subject: str, lines: list[str]) -> bool:
    try:
        mail_admins(subject, "\n".join(lines))
    except OSError:
        log.error("The alarm could not be mailed: %s", subject, exc_info=True)
        return False
    return True
