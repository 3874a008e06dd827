"""How many requests each page answered, how, and how long it took.

Each web process counts for itself. Where gunicorn.conf.py names a folder for it, they count in
files there, and whichever process is asked answers for all (the library's mode for several).
"""

from __future__ import annotations

import logging
import os
from collections.abc import Callable
from pathlib import Path
from time import monotonic

from django.http import HttpRequest, HttpResponse
from prometheus_client import CollectorRegistry, Counter, Histogram
from prometheus_client.multiprocess import MultiProcessCollector

from me_office.around import Around
from me_office.logs.requests import QUIET, view_name

log = logging.getLogger(__name__)
FOLDER = "PROMETHEUS_MULTIPROC_DIR"
# Seconds. Nearly every page takes less than a quarter; whoever waits for ten goes away.
STEPS = (0.1, 0.25, 0.5, 1.0, 2.5, 5.0, 10.0, 30.0)
_METHODS = frozenset({"GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS"})
_own = CollectorRegistry()
answered = Counter(
    "office_requests", "Requests that were answered", ["view", "method", "status"], registry=_own
)
seconds = Histogram(
    "office_request_seconds", "Time until the answer began", ["view"], buckets=STEPS, registry=_own
)


def registry() -> CollectorRegistry:
    """Return what all web processes of this machine counted together, or this one alone."""
    if not Path(os.environ.get(FOLDER) or "none").is_dir():
        return _own
    all_of_them = CollectorRegistry()
    MultiProcessCollector(all_of_them)  # type: ignore[no-untyped-call]
    return all_of_them


def note(view: str, method: str, status: int, took: float) -> None:
    """Count one request: by the page's name, never by its path, of which there is no end."""
    known = method if method in _METHODS else "other"
    answered.labels(view or "none", known, str(status)).inc()
    seconds.labels(view or "none").observe(took)


class Counted(Around):
    """Count every request but those that machines make all the time."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        super().__init__(get_response)
        self.told = False

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer the request, and count it."""
        began = monotonic()
        answer = self.get_response(request)
        if not request.path.startswith(QUIET):
            took = monotonic() - began
            try:
                note(view_name(request), request.method or "", answer.status_code, took)
            except (OSError, ValueError):
                # A folder that is gone, a disk that is full: nobody's page fails for a number.
                self._tell_once()
        return answer

    def _tell_once(self) -> None:
        if not self.told:
            self.told = True
            log.warning("Requests can't be counted", exc_info=True)
