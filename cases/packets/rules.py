"""States of a packet, when its making is taken up again, what it prints. No database, no clock."""

from __future__ import annotations

from datetime import timedelta
from enum import StrEnum


class PacketState(StrEnum):
    """Where the making of a packet stands."""

    WAITING = "waiting"
    BUILDING = "building"
    BUILT = "built"
    FAILED = "failed"


ALLOWED_MOVES: dict[PacketState, frozenset[PacketState]] = {
    PacketState.WAITING: frozenset({PacketState.BUILDING, PacketState.FAILED}),
    # A killed worker leaves "building"; the next attempt begins again from there.
    PacketState.BUILDING: frozenset(
        {PacketState.BUILDING, PacketState.BUILT, PacketState.FAILED, PacketState.WAITING}
    ),
    PacketState.FAILED: frozenset({PacketState.WAITING}),
    PacketState.BUILT: frozenset(),
}

# A worker that builds says so between any two files; one that is silent this long is gone.
SILENCE = timedelta(minutes=2)
# The first message may have been lost with the queue.
WAITS_TOO_LONG = timedelta(minutes=2)
# A packet that ended its worker this often would go on doing so.
MAX_ATTEMPTS = 5


def can_move(now: PacketState, to: PacketState) -> bool:
    """Tell whether a packet in state `now` may go to state `to`."""
    return to in ALLOWED_MOVES[now]


def is_abandoned(state: PacketState, silent_for: timedelta) -> bool:
    """Tell whether nobody is making this packet although somebody should."""
    if state is PacketState.BUILDING:
        return silent_for >= SILENCE
    return state is PacketState.WAITING and silent_for >= WAITS_TOO_LONG


def may_begin(state: PacketState, silent_for: timedelta) -> bool:
    """Tell whether an attempt may begin now: nobody else is at it, and it is not built."""
    return state is PacketState.WAITING or (
        state is PacketState.BUILDING and is_abandoned(state, silent_for)
    )


class SentAs(StrEnum):
    """In which form a photograph goes out."""

    ORIGINAL = "original"
    REDACTED = "redacted copy"
    COPY = "copy without the camera's notes"
    NOT_SENT = "not sent"


def sent_as(
    *, with_photographs: bool, camera_notes: bool, redacted: bool, original_wanted: bool
) -> SentAs:
    """Decide in which form a photograph goes out.

    Where a redacted copy stands it goes out, unless a person chose the original by name.
    """
    if not with_photographs:
        return SentAs.NOT_SENT
    if redacted and not original_wanted:
        return SentAs.REDACTED
    return SentAs.ORIGINAL if camera_notes else SentAs.COPY


_NAME_PARTS = {SentAs.REDACTED: "redacted-", SentAs.COPY: "copy-"}


def photograph_name(
    number: int, sha256: str, extension: str, form: SentAs = SentAs.ORIGINAL
) -> str:
    """Return a photograph's file name in a packet: P-007-<first 12 of its digest>.jpg."""
    return f"P-{number:03d}-{_NAME_PARTS.get(form, '')}{sha256[:12]}.{extension}"


def number_ranges(numbers: list[int]) -> list[list[int]]:
    """Return numbers as runs of first and last: 1, 2, 3, 7 -> [[1, 3], [7, 7]]."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return runs
