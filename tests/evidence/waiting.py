"""Time that passes only where a run rests while its store is away."""

from __future__ import annotations

import pytest

from evidence.store import patience
from tests.evidence.fake_bucket import Server


class Clock:
    """A clock that goes on where somebody rests; a server that failed answers again then."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, server: Server | None = None) -> None:
        self.now = 0.0
        self.rests: list[float] = []
        self._server, self._until = server, float("inf")
        monkeypatch.setattr(patience, "rest", self.rest)
        monkeypatch.setattr(patience, "clock", self)

    def __call__(self) -> float:
        return self.now

    def rest(self, seconds: float) -> None:
        """Let so much time pass."""
        self.rests.append(seconds)
        self.now += seconds
        if self._server is not None and self.now >= self._until:
            self._server.fault = ""

    def fails(self, fault: str, seconds: float = float("inf")) -> None:
        """Let the server fail from now on, for so long."""
        assert self._server is not None
        self._server.fault, self._until = fault, self.now + seconds
