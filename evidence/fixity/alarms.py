"""What the store's check puts on the first page, until somebody settles it."""

from __future__ import annotations

from datetime import datetime

from django.urls import reverse

from cases.worklists import LIMIT, Waiting
from evidence.models import FixityProblem
from me_office.accounts.models import Staff
from me_office.shell.templatetags.office import short_moment


def store_alarms(actor: Staff, now: datetime) -> list[Waiting]:
    """The files that are missing or altered and not settled, one statement."""
    rows = FixityProblem.objects.filter(resolved_at=None).select_related("file")
    return [
        Waiting(
            number="Store",
            title=f"A stored file is {problem.kind}",
            detail=f"SHA-256 {problem.file.sha256[:16]}…; the page names what rests on it",
            when=short_moment(problem.found_at),
            url=reverse("evidence:store"),
            urgency="stop",
        )
        for problem in rows.order_by("found_at", "id")[:LIMIT]
    ]
