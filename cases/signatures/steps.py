"""What signatures add to the worklists: addenda and amendments that wait for a second one."""

from __future__ import annotations

from datetime import datetime

from django.urls import reverse

from cases import access, worklists
from cases.signatures.second import waiting_everywhere
from cases.worklists import Section, Waiting
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.shell.templatetags.office import short_moment


def _to_sign_second(actor: Staff, now: datetime) -> list[Waiting]:
    rows = waiting_everywhere().filter(case__in=access.cases_open_to(actor))
    return [
        Waiting(
            number=one.case.label,
            title=f"{one.get_kind_display().capitalize()} {one.number}, "
            f"{one.case.decedent.full_name}",
            detail=f"by {one.made_by}; {one.case.heading}",
            when=f"since {short_moment(one.made_at)}",
            url=reverse(
                "signatures:sign-second", kwargs={"case_id": one.case_id, "addendum_id": one.pk}
            ),
            since=one.made_at,
        )
        for one in rows.exclude(made_by=actor)[: worklists.LIMIT]
    ]


worklists.register(
    Section(
        "second-signatures",
        "Addenda waiting for a second signature",
        frozenset({Role.PATHOLOGIST}),
        11,
        _to_sign_second,
    )
)
