"""The one file that names bodies, views and regions, read once.

The browser reads the same file, so that a region or a box can never differ between the two.
"""

from __future__ import annotations

import json
from functools import lru_cache
from pathlib import Path
from typing import Any

ASSETS = Path(__file__).resolve().parent.parent / "static" / "findings" / "body"


class BodyGeometryError(ValueError):
    """Something was asked of the body geometry that it cannot answer; the text says what."""

    code = "body_geometry"


class UnknownBody(BodyGeometryError):
    """There is no body of that name."""

    code = "unknown_body"

    def __init__(self, key: object) -> None:
        super().__init__(f"There is no body called “{key}”.")


class UnknownView(BodyGeometryError):
    """There is no view of that name."""

    code = "unknown_view"

    def __init__(self, key: object) -> None:
        super().__init__(f"There is no view called “{key}”.")


class UnknownRegion(BodyGeometryError):
    """There is no region of that name."""

    code = "unknown_region"

    def __init__(self, key: object) -> None:
        super().__init__(f"There is no body region called “{key}”.")


@lru_cache(maxsize=1)
def catalogue() -> dict[str, Any]:
    """The content of `catalogue.json`: bodies, regions, views."""
    text = (ASSETS / "catalogue.json").read_text(encoding="utf-8")
    loaded: dict[str, Any] = json.loads(text)
    return loaded
