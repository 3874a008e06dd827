"""States of a packet. No database."""

from __future__ import annotations

from enum import StrEnum


class PacketState(StrEnum):
    """Where the making of a packet stands."""

    WAITING = "waiting"
    BUILDING = "building"
    BUILT = "built"
    FAILED = "failed"


ALLOWED_MOVES: dict[PacketState, frozenset[PacketState]] = {
    PacketState.WAITING: frozenset({PacketState.BUILDING}),
    # A killed worker leaves "building"; the next attempt begins again from there.
    PacketState.BUILDING: frozenset(
        {PacketState.BUILDING, PacketState.BUILT, PacketState.FAILED, PacketState.WAITING}
    ),
    PacketState.FAILED: frozenset({PacketState.WAITING}),
    PacketState.BUILT: frozenset(),
}
