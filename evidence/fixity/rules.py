"""When the store is read and how fast. No database, no clock."""

from __future__ import annotations

from datetime import datetime, timedelta
from enum import StrEnum

# Common practice: everything is read at least once a month; this office begins a run a week.
EVERY = timedelta(days=7)
# A job reads this many files, then makes room for other work and is sent again.
FILES_A_JOB = 200
SECONDS_A_JOB = 50.0
# A run that is not finished this long after its last step has stopped by itself.
ALARM_AFTER = timedelta(days=14)
# A file that no row names yet may belong to an action that is about to end: the longest job, a
# packet, takes hours.
UNFINISHED_FOR = timedelta(days=1)


class Found(StrEnum):
    """What became of a stored file."""

    WHOLE = "whole"
    MISSING = "missing"
    ALTERED = "altered"
    UNREADABLE = "unreadable"
    UNNAMED = "unnamed"


def judged(*, stored: str, found: str | None) -> Found:
    """Compare the digest in the books with that of the bytes (None: no bytes)."""
    if found is None:
        return Found.MISSING
    return Found.WHOLE if found == stored else Found.ALTERED


def is_unfinished(lain_since: datetime, *, now: datetime) -> bool:
    """Tell whether a file that no row names is so young that something may still name it."""
    return now - lain_since < UNFINISHED_FOR


def is_due(last_begun_at: datetime | None, *, now: datetime) -> bool:
    """Tell whether a new run should begin."""
    return last_begun_at is None or now - last_begun_at >= EVERY


def is_overdue(last_finished_at: datetime | None, *, now: datetime) -> bool:
    """Tell whether the store has gone unread for too long."""
    return last_finished_at is None or now - last_finished_at >= ALARM_AFTER


def seconds_to_wait(*, size_bytes: int, seconds: float, most_bytes_a_second: int) -> float:
    """Return how long to rest after reading, to stay within a rate; 0 means no bound."""
    if not most_bytes_a_second:
        return 0.0
    return max(0.0, size_bytes / most_bytes_a_second - seconds)
