"""Who has the chart of a case open just now. Names and moments only, kept for half a minute.

Nothing of the case is stored, and nothing is recorded: who looked stands in the access log.
"""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from django.core.cache import cache

SECONDS = 30
EVERY_SECONDS = 10

# Key of the person: their printed name, and when they were last heard of (seconds since 1970).
Heard = Mapping[str, tuple[str, float]]


def still_here(heard: Heard, now: float) -> dict[str, tuple[str, float]]:
    """Those heard of within the last half minute."""
    return {key: (name, at) for key, (name, at) in heard.items() if now - at < SECONDS}


def others_at(case_id: UUID, person: UUID, name: str, now: float) -> list[str]:
    """Note that somebody has the chart open; return the names of the others, in order.

    Two who are heard of in the same instant may miss each other once; the next beat finds them.
    """
    key = f"chart-open:{case_id}"
    here = still_here(cache.get(key) or {}, now)
    here[str(person)] = (name, now)
    cache.set(key, here, timeout=SECONDS)
    return sorted(other for one, (other, _) in here.items() if one != str(person))
