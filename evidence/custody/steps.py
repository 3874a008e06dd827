"""What custody adds to the worklists."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.urls import reverse

from cases.access import cases_open_to
from cases.worklists import LIMIT, Section, Waiting
from cases.worklists import register as register_section
from evidence.custody.models import CustodyState
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.shell.templatetags.office import short_moment


def _row(standing: CustodyState, detail: str, urgency: str = "") -> Waiting:
    item = standing.item
    return Waiting(
        number=item.case.number or "no number",
        title=f"Item {item.number}, {item.title}",
        detail=f"{item.case.decedent.full_name} · {detail}",
        when=short_moment(standing.held_since),
        url=reverse("custody:item", kwargs={"case_id": item.case_id, "item_id": item.pk}),
        urgency=urgency,
        since=standing.held_since,
    )


def _standing(actor: Staff) -> Any:
    return CustodyState.objects.filter(
        item__voided_at=None, item__case__in=cases_open_to(actor)
    ).select_related("item__case__decedent")


def _unsealed(actor: Staff, now: datetime) -> list[Waiting]:
    """Specimens and things kept that no seal closes."""
    rows = _standing(actor).filter(loose=True, left_office=False).order_by("item")[:LIMIT]
    return [
        _row(one, f"not sealed, with {one.held_by or 'nobody on record'}", "attention")
        for one in rows
    ]


def _in_my_hands(actor: Staff, now: datetime) -> list[Waiting]:
    """Items whose last transfer was to the person."""
    rows = _standing(actor).filter(holder=actor).order_by("held_since", "item")[:LIMIT]
    return [_row(one, "in your hands") for one in rows]


register_section(
    Section(
        key="custody-unsealed",
        title="Items without a seal",
        roles=frozenset({Role.EVIDENCE_TECHNICIAN}),
        order=20,
        rows=_unsealed,
        empty="Every specimen and every kept item is sealed.",
    )
)
register_section(
    Section(
        key="custody-in-my-hands",
        title="Items in your hands",
        roles=frozenset({Role.EVIDENCE_TECHNICIAN, Role.PATHOLOGIST, Role.INVESTIGATOR}),
        order=30,
        rows=_in_my_hands,
        empty="You hold no items.",
    )
)
