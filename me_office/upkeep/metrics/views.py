"""What the office's own watch reads."""

from __future__ import annotations

import threading
from time import monotonic

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET
from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, generate_latest
from prometheus_client.metrics_core import Metric
from prometheus_client.registry import Collector

from me_office.upkeep.health import asks_from_inside
from me_office.upkeep.metrics import figures, requests

# Two watches that ask at the same time are answered from one reading.
FRESH_SECONDS = 5.0
OUTSIDE = "For the office’s own watch: Authorization: Bearer, with ME_INSIDE_TOKEN.\n"


class _Figures(Collector):
    """The figures as they were read a moment ago."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.read_at: float | None = None
        self.last: list[Metric] = []

    def describe(self) -> list[Metric]:
        """Return nothing: they are not read when they are registered."""
        return []

    def collect(self) -> list[Metric]:
        """Return them, read anew where they are older than that."""
        with self.lock:
            if self.read_at is None or monotonic() - self.read_at > FRESH_SECONDS:
                self.last = list(figures.everything())
                self.read_at = monotonic()
            return self.last

    def forget(self) -> None:
        """Read anew when asked next."""
        self.read_at = None


read = _Figures()
_standing = CollectorRegistry()
_standing.register(read)


@require_GET
def metrics(request: HttpRequest) -> HttpResponse:
    """Answer with all numbers, to who brings the office's token; 403 to everybody else."""
    if not asks_from_inside(request):
        return HttpResponse(OUTSIDE, status=403, content_type="text/plain; charset=utf-8")
    told = generate_latest(requests.registry()) + generate_latest(_standing)
    return HttpResponse(told, content_type=CONTENT_TYPE_LATEST)
