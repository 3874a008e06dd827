"""Keys that reach a client: UUIDv7 (RFC 9562), made by whoever creates the record."""

from __future__ import annotations

import uuid

import uuid_utils


def new_id() -> uuid.UUID:
    """Return a new UUIDv7; later keys sort after earlier ones."""
    return uuid.UUID(bytes=uuid_utils.uuid7().bytes)
