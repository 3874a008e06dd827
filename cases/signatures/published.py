"""The list of revoked certificates as it is published: made once, kept until something changes.

Anybody may fetch it, so that nobody's fetching may make the office sign. What is kept is named by
what it says; where nothing can be kept, whoever asks for it often waits.
"""

from __future__ import annotations

from datetime import datetime, timedelta

from django.core.cache import cache

from cases.signatures import actions, queries
from cases.signatures.authority import LIST_FOR
from me_office.accounts import tries

PLACE = "fetching the list of revoked certificates"
# Long before its next update is due, so that no reader holds one that has ended.
MADE_ANEW_AFTER = LIST_FOR / 2


def published_list(now: datetime) -> bytes | None:
    """Return the list (DER), or None without an own authority. Raises CannotOpen, TooSoon."""
    named = queries.list_name()
    if named is None:
        return None
    key = f"list-of-revoked-{named}"
    kept = cache.get(key)
    if kept is not None and timedelta() <= now - kept[0] < MADE_ANEW_AFTER:
        der: bytes = kept[1]
        return der
    tries.begin_look_up(place=PLACE)
    made = actions.office_list(now)
    cache.set(key, (now, made), MADE_ANEW_AFTER.total_seconds())
    return made
