"""The office's cache: what it holds can be had otherwise, so nobody waits for it."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from typing import Any

from django.core.cache.backends.base import DEFAULT_TIMEOUT
from django.core.cache.backends.redis import RedisCache
from redis.exceptions import RedisError

log = logging.getLogger(__name__)
# After it did not answer, nobody in this process asks it again for this long.
PAUSE_SECONDS = 10.0


class PatientCache(RedisCache):
    """A Redis cache that is empty where the server is away or hangs."""

    def __init__(self, server: Any, params: dict[str, object]) -> None:
        super().__init__(server, params)
        self._away_until = 0.0

    def _asked(self, ask: Callable[[], Any], otherwise: Any) -> Any:
        if time.monotonic() < self._away_until:
            return otherwise
        try:
            return ask()
        except (RedisError, OSError):
            self._away_until = time.monotonic() + PAUSE_SECONDS
            log.warning("The cache does not answer; going on without it")
            return otherwise

    def add(self, key: Any, value: Any, timeout: Any = DEFAULT_TIMEOUT, version: Any = None) -> Any:
        """Set what is not there; True where the cache is away: nobody else has set it."""
        return self._asked(
            lambda: super(PatientCache, self).add(key, value, timeout, version), True
        )

    def get(self, key: Any, default: Any = None, version: Any = None) -> Any:
        """Return what is there, else the default."""
        return self._asked(lambda: super(PatientCache, self).get(key, default, version), default)

    def set(
        self, key: Any, value: Any, timeout: Any = DEFAULT_TIMEOUT, version: Any = None
    ) -> None:
        """Keep a value."""
        self._asked(lambda: super(PatientCache, self).set(key, value, timeout, version), None)

    def touch(self, key: Any, timeout: Any = DEFAULT_TIMEOUT, version: Any = None) -> Any:
        """Keep a value longer; False where it is not there."""
        return self._asked(lambda: super(PatientCache, self).touch(key, timeout, version), False)

    def delete(self, key: Any, version: Any = None) -> Any:
        """Forget a value; False where it was not there."""
        return self._asked(lambda: super(PatientCache, self).delete(key, version), False)

    def get_many(self, keys: Any, version: Any = None) -> Any:
        """Return what is there of these."""
        return self._asked(lambda: super(PatientCache, self).get_many(keys, version), {})

    def has_key(self, key: Any, version: Any = None) -> Any:
        """Tell whether a value is there."""
        return self._asked(lambda: super(PatientCache, self).has_key(key, version), False)

    def incr(self, key: Any, delta: int = 1, version: Any = None) -> Any:
        """Count up. Raises ValueError where there is nothing to count from."""
        found = self._asked(lambda: super(PatientCache, self).incr(key, delta, version), None)
        if found is None:
            raise ValueError(f"Key '{key}' not found.")
        return found

    def set_many(self, data: Any, timeout: Any = DEFAULT_TIMEOUT, version: Any = None) -> Any:
        """Keep values; return the keys that were not kept: all where the cache is away."""
        keep = super().set_many
        return self._asked(lambda: keep(data, timeout, version), list(data))

    def delete_many(self, keys: Any, version: Any = None) -> None:
        """Forget values."""
        self._asked(lambda: super(PatientCache, self).delete_many(keys, version), None)

    def clear(self) -> Any:
        """Forget everything."""
        return self._asked(super().clear, False)
