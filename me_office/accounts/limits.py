"""How long somebody waits after wrong passwords and codes. Decisions without I/O.

Counted is by device and by address. A name alone shuts nobody out: otherwise anybody who knows how
a person signs in could keep them out. NIST SP 800-63B, section 5.2.2 (rate limiting), asks for no
more than 100 failures in a row on one account; it names waits that grow, and devices and addresses
that are known, as ways to get there (the ways from memory, not checked). Whoever tries from very
many addresses can still make more than 100 tries at one password: they are recorded, and behind the
password stands the second factor, whose tries are counted from everywhere together.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

Secret = Literal["password", "code"]


@dataclass(frozen=True)
class Limit:
    """So many failures in a row cost nothing; then the wait doubles, up to a longest one."""

    free: int
    first_s: int
    most_s: int
    forgotten_after_s: int


@dataclass(frozen=True)
class Count:
    """What one try is counted under, and how the counting goes on when it was right.

    `resets`: a right answer begins anew. Otherwise it takes back only its own place, so that
    nobody buys guesses at others' accounts with a right answer to their own.
    """

    key: str
    limit: Limit | None
    resets: bool


# Longer than a code from an app is valid, with the clock of the device a little wrong.
CODE_REMEMBERED_S = 300
DAY_S, HOUR_S = 86_400, 3_600
# A device on which this person has signed in, or a sign-in that is under way.
OWN_DEVICE = Limit(free=5, first_s=15, most_s=900, forgotten_after_s=DAY_S)
# An unknown device, by the address and the name it tries.
STRANGER = Limit(free=5, first_s=30, most_s=900, forgotten_after_s=DAY_S)
# The same while many tries at this name come from elsewhere.
STRANGER_AT_AN_ATTACKED_NAME = replace(STRANGER, free=1)
ATTACKED_FROM = 20
# All unknown devices of one address, whatever names they try; a whole office may have one address.
ADDRESS = Limit(free=30, first_s=10, most_s=300, forgotten_after_s=HOUR_S)
# All unknown devices of one IPv6 site: whoever has a site has 65,536 lines to try from.
SITE = Limit(free=60, first_s=10, most_s=300, forgotten_after_s=HOUR_S)
# Who asks after codes of documents by chance; what is found costs nothing.
LOOK_UP = Limit(free=30, first_s=5, most_s=300, forgotten_after_s=HOUR_S)
# A code from an app has a million values, of which three are taken at any moment, and whoever is
# asked for it knows the password: from all unknown devices together so many tries at one's code.
CODES_FROM_ANYWHERE = Limit(free=20, first_s=15, most_s=180, forgotten_after_s=HOUR_S)


def wait_s(limit: Limit, *, failures: int, since_s: float) -> int:
    """Return how many whole seconds are left to wait, after `failures` of which the last is old."""
    if since_s >= limit.forgotten_after_s or failures < limit.free:
        return 0
    due: float = min(limit.most_s, limit.first_s * 2 ** min(failures - limit.free, 20))
    # No wait is longer than it is after the last failure, wherever a clock was.
    return max(0, math.ceil(due - max(0, since_s)))


def name_key(name: str, kind: Secret) -> str:
    """Return what tries of strangers at one name are counted under."""
    return f"name {name} {kind}"


def counts(
    *, name: str, kind: Secret, device: str, signed_in: bool, line: str, site: str, attacked: bool
) -> list[Count]:
    """Return what a try counts under: its own device, or name and address of a stranger.

    `line` and `site` are what one visitor has of addresses; there are no sites of IPv4.
    """
    if device or signed_in:
        return [Count(f"device {device} {name} {kind}", OWN_DEVICE, resets=True)]
    pair = STRANGER_AT_AN_ATTACKED_NAME if attacked else STRANGER
    anywhere = CODES_FROM_ANYWHERE if kind == "code" else None
    return [
        Count(f"stranger {line} {name} {kind}", pair, resets=True),
        Count(f"address {line}", ADDRESS, resets=False),
        *([Count(f"site {site}", SITE, resets=False)] if site else []),
        Count(name_key(name, kind), anywhere, resets=False),
    ]


def look_up_counts(*, line: str, site: str) -> list[Count]:
    """Return what a question after a code is counted under: its address, and its site."""
    return [
        Count(f"look-up {line}", LOOK_UP, resets=False),
        *([Count(f"look-up site {site}", LOOK_UP, resets=False)] if site else []),
    ]


def duration_words(seconds: int) -> str:
    """Return a wait in words: 45 seconds, 2 minutes. Never shorter than it is."""
    if seconds <= 90:
        return "1 second" if seconds == 1 else f"{seconds} seconds"
    return f"{math.ceil(seconds / 60)} minutes"


def look_up_words(seconds: int) -> str:
    """Return the sentence for somebody who asks after too many codes."""
    return (
        f"Too many codes and digests that are not known here. Wait {duration_words(seconds)}, "
        "then try again."
    )


def held_back_words(kind: Secret, seconds: int) -> str:
    """Return the sentence for somebody who has to wait."""
    return f"Too many wrong {kind}s. Wait {duration_words(seconds)}, then try again."
