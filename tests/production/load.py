"""Many people at once: how quick the pages stay, and what limits."""

from __future__ import annotations

import http.client
import random
import ssl
import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from tests.production.told import told

# Seconds between what somebody reads and what they ask next.
THINKING = (1.0, 2.0)


@dataclass
class Seen:
    """What a round of users saw: seconds of each answer, and what was no answer."""

    users: int
    seconds: float
    times: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    def at(self, share: float) -> float:
        """Return the time that this share of the answers kept within."""
        ordered = sorted(self.times)
        return ordered[min(len(ordered) - 1, int(share * len(ordered)))] if ordered else 0.0

    def __str__(self) -> str:
        """Say it in one line."""
        rate = len(self.times) / self.seconds
        return (
            f"{self.users} users: {len(self.times)} answers in {self.seconds:.0f} s, {rate:.1f} a "
            f"second; half within {self.at(0.5) * 1000:.0f} ms, 95 of 100 within "
            f"{self.at(0.95) * 1000:.0f} ms, 99 within {self.at(0.99) * 1000:.0f} ms; "
            f"{len(self.wrong)} errors {sorted(set(self.wrong))[:3]}"
        )


def rounds(
    address: str, sessions: Sequence[str], paths: Sequence[str], sizes: Sequence[int], seconds: int
) -> list[Seen]:
    """Let each number of users read for a while; return what each round saw."""
    found = []
    for users in sizes:
        with told(f"{users} users for {seconds} s"):
            found.append(_round(address, sessions, paths, users, seconds))
            print(f"    {found[-1]}")
    return found


def _round(
    address: str, sessions: Sequence[str], paths: Sequence[str], users: int, seconds: int
) -> Seen:
    seen, until = Seen(users, seconds), time.monotonic() + seconds
    threads = [
        threading.Thread(
            target=_read, args=(address, sessions[n % len(sessions)], paths, until, seen, n)
        )
        for n in range(users)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return seen


def _read(
    address: str, session: str, paths: Sequence[str], until: float, seen: Seen, number: int
) -> None:
    dice = random.Random(number)
    plain = ssl.create_default_context()
    plain.check_hostname, plain.verify_mode = False, ssl.CERT_NONE
    where = urlsplit(address)
    link = http.client.HTTPSConnection(where.hostname or "", where.port, timeout=30, context=plain)
    time.sleep(dice.uniform(0, THINKING[1]))
    while time.monotonic() < until:
        path, began = dice.choice(paths), time.monotonic()
        try:
            link.request("GET", path, headers={"Cookie": session})
            answer = link.getresponse()
            answer.read()
            seen.times.append(time.monotonic() - began)
            if answer.status != 200:
                seen.wrong.append(f"{answer.status} {path}")
        except (OSError, http.client.HTTPException) as error:
            seen.wrong.append(f"{type(error).__name__} {path}")
            link.close()
        time.sleep(dice.uniform(*THINKING))
    link.close()
