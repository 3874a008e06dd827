"""The story's clock: what the loader's own process takes for now while it plays an act.

Web and workers never run this. The database's clock stays as it is; what it wrote is moved by
`me_office.demo.retiming`, with the owner's role.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from unittest import mock

from django.utils import timezone


@contextmanager
def told_at(moment: datetime) -> Iterator[None]:
    """Let everything that asks Django for the time be told this moment."""
    with mock.patch.object(timezone, "now", lambda: moment.astimezone(UTC)):
        yield
