"""A store that does not answer: said at once, and not asked by everybody again and again."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from me_office.audit.errors import Away

log = logging.getLogger(__name__)
# So many failures in a row, and the store counts as away for so long.
FAILURES = 3
PAUSE_SECONDS = 10.0


class StoreAway(Away):
    """The store does not answer, or not as a store: it says nothing about any file in it.

    Neither an OSError nor a StoreFault: no reader may take it for a broken picture, and no check
    for a file that is missing.
    """

    code = "store_away"

    def __init__(self, why: str = "", *, passing: bool = True) -> None:
        super().__init__(
            "The file store is not answering. Files can’t be added or opened now; everything else "
            "works. Try again in a few minutes."
        )
        # For an administrator: what was answered, and whether it may be over by itself.
        self.why, self.passing = why, passing


class Breaker:
    """Whether the store is asked at all: by everybody, by nobody, or by one who tries.

    Of one process, and safe between its threads. While the store answers, everybody asks. After
    some failures in a row nobody does for a while; then one may try, and the others go on without
    until that one has heard.
    """

    def __init__(
        self,
        *,
        failures: int = FAILURES,
        pause: float = PAUSE_SECONDS,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._most, self._pause, self._clock = failures, pause, clock
        self._lock = threading.Lock()
        self._failed = 0
        self._until = 0.0
        self._trying = False

    @property
    def is_open(self) -> bool:
        """Tell whether nobody who comes now would be let through to the store."""
        with self._lock:
            return self._failed >= self._most and (self._trying or self._clock() < self._until)

    @contextmanager
    def asking(self) -> Iterator[None]:
        """Let the block ask the store. Raises StoreAway instead of asking one that is away.

        A block that raises StoreAway has failed; one that raises anything else was answered.
        """
        tries = self._enter()
        try:
            yield
        except StoreAway:
            self._heard(answered=False, tries=tries)
            raise
        except Exception:
            self._heard(answered=True, tries=tries)
            raise
        except BaseException:
            # Stopped from outside: nothing was heard, and another may try.
            self._leave(tries=tries)
            raise
        self._heard(answered=True, tries=tries)

    def _enter(self) -> bool:
        with self._lock:
            if self._failed < self._most:
                return False
            if self._trying or self._clock() < self._until:
                raise StoreAway
            self._trying = True
            return True

    def _heard(self, *, answered: bool, tries: bool) -> None:
        with self._lock:
            if tries:
                self._trying = False
            if answered:
                # Who was asked before the store went away may hear late: only who tries ends it.
                if tries or self._failed < self._most:
                    if self._failed >= self._most:
                        log.warning("The file store answers again")
                    self._failed = 0
                return
            self._failed += 1
            if self._failed >= self._most:
                if tries or self._failed == self._most:
                    self._until = self._clock() + self._pause
                if self._failed == self._most:
                    log.error("The file store is not answering; not asked for a while")

    def _leave(self, *, tries: bool) -> None:
        if tries:
            with self._lock:
                self._trying = False
