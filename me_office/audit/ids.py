"""Keys that reach a client: UUIDv7 (RFC 9562), made by whoever creates the record."""

from __future__ import annotations

import uuid

import uuid_utils


def new_id() -> uuid.UUID:
    """Return a new UUIDv7; later keys sort after earlier ones."""
    return uuid.UUID(bytes=uuid_utils.uuid7().bytes)


def uuid_in(text: str) -> uuid.UUID | None:
    """Return the key that a text is, or None: an address may hold anything."""
    try:
        return uuid.UUID(text)
    except ValueError:
        return None
