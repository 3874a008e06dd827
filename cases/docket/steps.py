"""What the board adds to the first page of those who handle requests."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.urls import reverse
from django.utils import timezone

from cases import worklists
from cases.court.rules import due_words
from cases.docket import queries
from cases.worklists import Section, Waiting
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role

AHEAD = timedelta(days=14)


def _copies(actor: Staff, now: datetime) -> list[Waiting]:
    today = timezone.localtime(now).date()
    found = []
    for one in queries.copies_due(actor, today + AHEAD)[: worklists.LIMIT]:
        if one.back_by is None:
            continue
        due = due_words(one.back_by, today)
        done = "returned" if one.copies == "return" else "destroyed"
        found.append(
            Waiting(
                number=one.case.label,
                title=f"Copies to be {done}: {one.request.party}",
                detail=one.who_may_see[:110],
                when=due.words,
                url=reverse("court:request", args=[one.case_id, one.request_id]),
                urgency=due.urgency,
            )
        )
    return found


worklists.register(
    Section(
        "copies-due",
        "Copies under a protective order",
        frozenset({Role.RECORDS_CLERK}),
        26,
        _copies,
        empty="No copies are due back.",
    )
)
