"""Where static files are, worked out once for a process: a page names two dozen of them."""

from __future__ import annotations

from typing import Any

from django.contrib.staticfiles.storage import StaticFilesStorage
from whitenoise.storage import CompressedManifestStaticFilesStorage


class _Remembered:
    """Keeps each address that was found; one that was not found is looked for again."""

    _known: dict[tuple[object, ...], str]

    def __init__(self, *args: Any, **options: Any) -> None:
        self._known = {}
        super().__init__(*args, **options)

    def url(self, *asked: Any) -> str:
        """Return the address of a file."""
        known = self._known.get(asked)
        if known is None:
            known = self._known[asked] = super().url(*asked)  # type: ignore[misc]
        return known


class WhereTheyLie(_Remembered, StaticFilesStorage):
    """Files that nobody has collected: for the tests."""


class Collected(_Remembered, CompressedManifestStaticFilesStorage):  # type: ignore[misc]
    """Files that were collected, compressed, and named after what is in them."""
