"""What due days add to the worklists: those that a closure entered since would move."""

from __future__ import annotations

from datetime import datetime

from django.urls import reverse

from cases import worklists
from cases.clock import queries
from cases.worklists import LIMIT, Section, Waiting
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role


def _to_count_again(actor: Staff, now: datetime) -> list[Waiting]:
    return [
        Waiting(
            one.asked.case.label,
            f"{one.asked.get_kind_display().capitalize()}, {one.asked.party}",
            f"due {one.kept.end_on:%Y-%m-%d}; with the closures entered since, {one.end:%Y-%m-%d}",
            "count again",
            reverse("clock:count", args=[one.asked.case_id, one.asked.pk]),
        )
        for one in queries.moved_since(actor)[:LIMIT]
    ]


worklists.register(
    Section(
        "due-days-to-count",
        "Due days to count again",
        frozenset({Role.RECORDS_CLERK}),
        18,
        _to_count_again,
    )
)
