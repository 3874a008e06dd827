"""Several photographs in one exhibit."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from cases.access import Act
from cases.actions.entry import case_to_change
from cases.exhibits import queries
from cases.exhibits.actions.standing import standing_exhibit
from cases.exhibits.models import Exhibit, ExhibitPart
from cases.exhibits.rules import wrong_composite
from cases.models import Case
from evidence.photographs.models import Photograph
from evidence.photographs.queries import photograph_for_update
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.ids import new_id
from me_office.audit.records import save_new, save_next_version, void


@action
def compose_exhibit(
    actor: Staff,
    *,
    case_id: UUID,
    exhibit_id: UUID,
    version: int,
    photographs: Sequence[UUID],
    reason: str = "",
) -> Exhibit:
    """Say which photographs an exhibit holds, in their order; number and caption stay.

    Raises NotAllowed, NotKnown, StaleRecord, Invalid, Refused.
    """
    case = case_to_change(actor, Act.PREPARE_EXHIBITS, case_id)
    composed = standing_exhibit(case, exhibit_id, version)
    first, *further = refuse_withdrawn(photographs_in_order(case, photographs))
    others = queries.positions_in(composed.exhibit_set)
    if any(one.photograph_id == first.pk and one.pk != composed.pk for one in others):
        raise Refused(
            f"{first} leads another exhibit of this set. Name another one first.",
            field="photographs",
        )
    composed.photograph = first
    saved = save_next_version(actor, composed)
    place_parts(actor, saved, further)
    return saved


def photographs_in_order(case: Case, keys: Sequence[UUID]) -> list[Photograph]:
    """Return the photographs in this order, locked. Raises NotKnown, Refused."""
    if wrong := wrong_composite(keys):
        raise Refused(wrong, field="photographs")
    locked = {key: photograph_for_update(case, key) for key in sorted(keys)}
    return [locked[key] for key in keys]


def refuse_withdrawn(photographs: list[Photograph]) -> list[Photograph]:
    """Return the photographs, none of them withdrawn. Raises Refused."""
    for photograph in photographs:
        if photograph.is_voided:
            raise Refused(f"{photograph} was withdrawn.", field="photographs")
    return photographs


def place_parts(actor: Staff, exhibit: Exhibit, further: Sequence[Photograph]) -> None:
    """Make these the photographs after the first; what stays where it was is not touched."""
    parts = ExhibitPart.objects.active().select_for_update(of=("self",)).filter(exhibit=exhibit)
    there = {part.photograph_id: part for part in parts}
    for photograph_id in there.keys() - {photograph.pk for photograph in further}:
        void(actor, there[photograph_id], reason="No longer in the exhibit.")
    for place, photograph in enumerate(further, start=2):
        part = there.get(photograph.pk)
        if part is None:
            made = ExhibitPart(
                pk=new_id(), case=exhibit.case, exhibit=exhibit, photograph=photograph, place=place
            )
            save_new(actor, made, own_key=True)
        elif part.place != place:
            part.place = place
            save_next_version(actor, part)
