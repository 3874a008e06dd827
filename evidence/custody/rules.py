"""Whether the custody of an item holds together. No database, no clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from itertools import pairwise

from me_office.audit.errors import Refused
from me_office.names import is_one_of

FILE_STORE = "Office file store"


class SealState(StrEnum):
    """How the seal stood when an item was handed over."""

    INTACT = "intact"
    BROKEN = "broken"
    NONE = "none"


@dataclass(frozen=True)
class Handover:
    """One transfer, as the rules see it."""

    giver: str
    taker: str
    at: datetime
    seal_state: str


@dataclass(frozen=True)
class SealLife:
    """One seal, as the rules see it."""

    number: str
    applied_at: datetime
    broken_at: datetime | None = None

    def closed_at(self, moment: datetime) -> bool:
        """Tell whether the seal closed the item at a moment."""
        return self.applied_at <= moment and (self.broken_at is None or moment < self.broken_at)


@dataclass(frozen=True)
class Chain:
    """What the custody of an item comes to: who holds it, and every gap in words."""

    holder: str
    since: datetime | None
    sealed: bool
    gaps: tuple[str, ...]

    @property
    def unbroken(self) -> bool:
        """Tell whether every hand is accounted for."""
        return not self.gaps


def seal_state_of(seals: Sequence[SealLife]) -> str:
    """Tell how an item's seal stands from what is recorded of it."""
    if _is_sealed(seals):
        return SealState.INTACT
    return SealState.BROKEN if seals else SealState.NONE


NOTHING_CHOSEN = "Choose at least one item."


def check_receipt(*, cash: bool, second_person: str, given_by: str, received_by: str) -> None:
    """Refuse to give cash without a second person who is somebody else. Raises Refused."""
    second = second_person.strip()
    if cash and not second:
        raise Refused("Cash is handed over by two people: name the second.", field="second_person")
    if second and any(is_one_of(second, [each]) for each in (given_by, received_by)):
        raise Refused("The second person must be someone else.", field="second_person")


def check_moves_alone(is_part: bool) -> None:
    """Refuse to seal or move a part of a kit by itself. Raises Refused."""
    if is_part:
        raise Refused("This is a part of a kit or tray: seal and move the kit.")


def check_within_office(*, left_office: bool, to_staff: bool) -> None:
    """Refuse to record what an agency does with an item; its return is recorded. Raises Refused."""
    if left_office and not to_staff:
        raise Refused(
            "The office's custody of this item ended when it was handed over against a receipt. "
            "Record its return by naming the member of staff who receives it.",
            field="to_staff",
        )


def custody_chain(handovers: Sequence[Handover], seals: Sequence[SealLife]) -> Chain:
    """Check one item's transfers in the order of their times, and name each gap.

    Common practice: each hand that gives is the hand that received before, the times run
    forward, and the seal's state said at a transfer agrees with the seals recorded.
    """
    ordered = sorted(handovers, key=lambda each: each.at)
    gaps = list(_hand_gaps(ordered)) + list(_seal_gaps(ordered, seals))
    if not ordered:
        return Chain("", None, _is_sealed(seals), ("No transfer is recorded.", *gaps))
    last = ordered[-1]
    return Chain(last.taker, last.at, _is_sealed(seals), tuple(gaps))


def _hand_gaps(ordered: Sequence[Handover]) -> list[str]:
    gaps = []
    for before, after in pairwise(ordered):
        if not same_party(before.taker, after.giver):
            gaps.append(
                f"{before.taker} received it, but {after.giver} handed it on: "
                "the transfer between them is missing."
            )
        if after.at == before.at:
            gaps.append(
                f"The transfers to {before.taker} and to {after.taker} carry the same time."
            )
    return gaps


def _seal_gaps(ordered: Sequence[Handover], seals: Sequence[SealLife]) -> list[str]:
    gaps = []
    for each in ordered:
        closed = any(seal.closed_at(each.at) for seal in seals)
        ever = any(seal.applied_at <= each.at for seal in seals)
        step = f"At the transfer from {each.giver} to {each.taker}"
        if each.seal_state == SealState.INTACT and not closed:
            gaps.append(f"{step} the seal was said to be intact, but no seal closed it then.")
        elif each.seal_state == SealState.NONE and closed:
            gaps.append(f"{step} no seal was noted, but one closed it then.")
        elif each.seal_state == SealState.BROKEN and closed:
            gaps.append(
                f"{step} the seal was said to be broken, but who broke it and why is not recorded."
            )
        elif each.seal_state == SealState.BROKEN and not ever:
            gaps.append(f"{step} the seal was said to be broken, but none had been applied.")
    return gaps


def _is_sealed(seals: Sequence[SealLife]) -> bool:
    return any(seal.broken_at is None for seal in seals)


def same_party(one: str, other: str) -> bool:
    """Tell whether two entries name the same party; case and spacing do not count."""
    return " ".join(one.split()).casefold() == " ".join(other.split()).casefold()


def check_transfer(
    new: Handover, earlier: Sequence[Handover], seals: Sequence[SealLife], *, now: datetime
) -> None:
    """Refuse a transfer that cannot follow what is recorded. Raises Refused.

    A gap in the hands is not refused: what happened is recorded, and the gap is shown.
    """
    if same_party(new.giver, new.taker):
        raise Refused("An item cannot pass to the party that holds it.", field="to_party")
    if new.at > now:
        raise Refused("The time of the transfer is in the future.", field="at")
    latest = max((each.at for each in earlier), default=None)
    if latest is not None and new.at <= latest:
        raise Refused(
            "This is not later than the last transfer. Enter a later time, or withdraw that "
            "transfer.",
            field="at",
        )
    if new.seal_state == SealState.INTACT and not any(seal.closed_at(new.at) for seal in seals):
        raise Refused("No seal closes this item. Record the seal first.", field="seal_state")
    if new.seal_state == SealState.BROKEN and _is_sealed(seals):
        raise Refused("Record first who broke the seal, when and why.", field="seal_state")


def check_new_seal(seals: Sequence[SealLife], *, applied_at: datetime, now: datetime) -> None:
    """Refuse a second seal on a closed item, or one from the future. Raises Refused."""
    if applied_at > now:
        raise Refused("The time of the seal is in the future.", field="applied_at")
    standing = [seal for seal in seals if seal.broken_at is None]
    if standing:
        raise Refused(
            f"Seal {standing[0].number} closes this item. Record first who broke it and why.",
            field="number",
        )
    latest = max((seal.broken_at for seal in seals if seal.broken_at), default=None)
    if latest is not None and applied_at < latest:
        raise Refused("The previous seal was broken later than this.", field="applied_at")


def check_break(seal: SealLife, kind: str, *, broken_at: datetime, now: datetime) -> None:
    """Refuse to break what is no physical seal, or is broken already. Raises Refused."""
    if kind == "digest":
        raise Refused("A digest cannot be broken: the original's bytes never change.")
    if seal.broken_at is not None:
        raise Refused("This seal was already broken.")
    if broken_at > now:
        raise Refused("The time is in the future.", field="broken_at")
    if broken_at < seal.applied_at:
        raise Refused("The seal was applied after this time.", field="broken_at")
