"""What custody adds to the worklists."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db.models import Exists, OuterRef, Q, Subquery
from django.urls import reverse

from cases.access import cases_open_to
from cases.worklists import LIMIT, Section, Waiting
from cases.worklists import register as register_section
from evidence.custody.models import Seal, Transfer
from evidence.models import Item
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.shell.templatetags.office import short_moment


def _last_transfer() -> Any:
    return Transfer.objects.standing().filter(item=OuterRef("pk")).order_by("-at", "-id")


def _items(actor: Staff) -> Any:
    return (
        Item.objects.standing()
        .filter(case__in=cases_open_to(actor))
        .select_related("case", "case__decedent")
        .annotate(
            last_at=Subquery(_last_transfer().values("at")[:1]),
            last_to=Subquery(_last_transfer().values("to_party")[:1]),
        )
    )


def _row(item: Any, last_at: datetime | None, detail: str, urgency: str = "") -> Waiting:
    return Waiting(
        number=item.case.number or "no number",
        title=f"Item {item.number}, {item.title}",
        detail=f"{item.case.decedent.full_name} · {detail}",
        when=short_moment(last_at),
        url=reverse("custody:item", kwargs={"case_id": item.case_id, "item_id": item.pk}),
        urgency=urgency,
    )


def _unsealed(actor: Staff, now: datetime) -> list[Waiting]:
    """Specimens and property that no seal closes."""
    intact = Seal.objects.standing().filter(item=OuterRef("pk"), broken_at=None)
    rows = (
        _items(actor)
        .exclude(kind="photograph")
        .filter(~Exists(intact))
        .order_by("created_at", "pk")[:LIMIT]
    )
    return [
        _row(
            item,
            item.last_at,
            f"not sealed, with {item.last_to or 'nobody on record'}",
            "attention",
        )
        for item in rows
    ]


def _in_my_hands(actor: Staff, now: datetime) -> list[Waiting]:
    """Items whose last transfer was to the person."""
    # From the person's own transfers on: the last transfer of every item of the office would
    # have to be found otherwise.
    after = Q(at__gt=OuterRef("at")) | Q(at=OuterRef("at"), pk__gt=OuterRef("pk"))
    later = Transfer.objects.standing().filter(after, item=OuterRef("item"))
    rows = (
        Transfer.objects.standing()
        .filter(~Exists(later), to_staff=actor, item__voided_at=None)
        .filter(item__case__in=cases_open_to(actor))
        .select_related("item__case__decedent")
        .order_by("at", "pk")[:LIMIT]
    )
    return [_row(transfer.item, transfer.at, "in your hands") for transfer in rows]


register_section(
    Section(
        key="custody-unsealed",
        title="Items without a seal",
        roles=frozenset({Role.EVIDENCE_TECHNICIAN}),
        order=20,
        rows=_unsealed,
        empty="Every specimen and every piece of property is sealed.",
    )
)
register_section(
    Section(
        key="custody-in-my-hands",
        title="Items in your hands",
        roles=frozenset({Role.EVIDENCE_TECHNICIAN, Role.PATHOLOGIST, Role.INVESTIGATOR}),
        order=30,
        rows=_in_my_hands,
        empty="You hold no item.",
    )
)
