"""Personal effects that custody still has in the office when the body goes, or has gone."""

from __future__ import annotations

from collections.abc import Sequence

from cases.models import Case
from cases.remains.models import BodyRelease
from evidence.items.kinds import PROPERTY
from evidence.items.models import Item
from evidence.items.receivers import Where, place_named
from me_office.statements import COMMON_PRACTICE, statement

HERE = statement(
    "remains.effects-here",
    "Personal effects in the office by their custody: {items}. A release of the body does not move "
    "them: hand over what goes with it against a receipt.",
    where="Release of the body",
    source=COMMON_PRACTICE,
)
NOT_GIVEN = statement(
    "remains.effects-not-given",
    "Belongings at the release: {said}. Still in the office by custody: {items}. Hand over what "
    "was given against a receipt, or correct the release.",
    where="Release and disposition",
    source=COMMON_PRACTICE,
)
# What a release says that leaves nothing of the decedent's in the office.
_LEAVES_NOTHING = ("given", "none")


def effects_here(case: Case) -> list[str]:
    """Return the personal effects that are in the office, each with its holder, in one statement.

    One that somebody holds of whom no record says that it is the office is left out.
    """
    held = Item.objects.active().filter(
        case=case, kind=PROPERTY, custody_state__left_office=False
    )  # fmt: skip
    return [
        f"item {one.number} ({one.title}, {one.custody_state.held_by})"
        for one in held.select_related("custody_state").order_by("number")
        if one.custody_state.holder_id is not None
        or place_named(one.custody_state.held_by) is Where.OFFICE
    ]


def why_effects_differ(belongings: str, items: Sequence[str]) -> str:
    """Return what does not go together between a release and custody; empty where nothing."""
    if belongings not in _LEAVES_NOTHING or not items:
        return ""
    return NOT_GIVEN.say(said=dict(BodyRelease.BELONGINGS)[belongings], items="; ".join(items))
