"""What the body's stay adds to the course of a case and to the worklists."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.db.models import OuterRef, Subquery
from django.urls import reverse
from django.utils import timezone

from cases import course, worklists
from cases.actions.body import RECEIPT_CHECKS
from cases.certification.sheet import register_elsewhere
from cases.course import Step, count_of
from cases.models import BodyReceipt, Case
from cases.queries import waiting
from cases.remains import queries
from cases.remains.actions import wrong_in_receipt
from cases.remains.happened import TIME_LINE
from cases.remains.models import BodyHold, BodyRelease, BodyReturn
from cases.remains.shown import days_words
from cases.worklists import Section, Waiting
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.prepared import Facts
from me_office.shell.templatetags.office import short_moment

# A body that nobody has fetched for this long stands out. Common practice; offices differ.
LONG_STAY = timedelta(days=14)
course.add_to_time_line(*TIME_LINE)
_ANNOTATIONS = {
    "cases_received_at": Subquery(
        BodyReceipt.objects.active().filter(case=OuterRef("pk")).values("received_at")[:1]
    ),
    "remains_released_at": Subquery(
        BodyRelease.objects.active()
        .filter(case=OuterRef("pk"))
        .order_by("-stay")
        .values("released_at")[:1]
    ),
    "remains_kept_at": Subquery(
        BodyReturn.objects.active()
        .filter(case=OuterRef("pk"))
        .order_by("-stay")
        .values("kept_at")[:1]
    ),
    "remains_not_here": waiting.NOT_RECEIVED_HERE,
    "remains_holds": count_of(BodyHold.objects.active().filter(lifted_at=None)),
}


def _body_words(case: Case, facts: Facts) -> str:
    held = ", on hold" if facts["remains_holds"] else ""
    if facts["cases_received_at"] is None:
        return f"{'did not come here' if facts['remains_not_here'] else 'not received'}{held}"
    if case.body_in_since is None and facts["remains_released_at"] is not None:
        return f"released {short_moment(facts['remains_released_at'])}{held}"
    if case.body_in_since is None:
        return f"received {short_moment(facts['cases_received_at'])}{held}"
    return f"here {days_words(case.body_in_since, timezone.now())}{held}"


def _row(case: Case, detail: str, since: datetime, when: str, now: datetime) -> Waiting:
    return Waiting(
        number=case.number or "no number",
        title=f"{case.decedent.full_name}: {case.heading}",
        detail=detail,
        when=when,
        url=reverse("remains:remains", kwargs={"case_id": case.pk}),
        urgency="attention" if now - since > LONG_STAY else "",
    )


def _here(actor: Staff, now: datetime) -> list[Waiting]:
    found = queries.bodies_here(actor)
    return [
        _row(
            case,
            f"received {short_moment(case.body_in_since)}{', on hold' if case.on_hold else ''}",
            case.body_in_since,
            days_words(case.body_in_since, now),
            now,
        )
        for case in found
    ]


def _held(actor: Staff, now: datetime) -> list[Waiting]:
    return [
        _row(hold.case, hold.words, hold.placed_at, f"since {short_moment(hold.placed_at)}", now)
        for hold in queries.held_bodies(actor)
    ]


def _cremations(actor: Staff, now: datetime) -> list[Waiting]:
    return [
        Waiting(
            number=asked.case.number or "no number",
            title=f"{asked.case.decedent.full_name}: {asked.case.heading}",
            detail=f"asked by {asked.asked_by}",
            when=f"since {short_moment(asked.asked_at)}",
            url=reverse("remains:remains", kwargs={"case_id": asked.case_id}),
        )
        for asked in queries.open_cremations(actor)
    ]


def _on_the_certificate(case: Case) -> dict[str, str]:
    """Items 18 to 21: what became of the remains, as recorded last."""
    done = next(iter(queries.dispositions_of(case)), None)
    if done is None:
        return {}
    return {"18": done.words, "19": done.place, "20": done.location, "21": done.facility}


RECEIPT_CHECKS.append(wrong_in_receipt)
register_elsewhere("remains", _on_the_certificate)
# Takes the place of the step of the same key: the body's way out belongs to it.
course.register(Step("body", "Body", 30, "cases:body", _body_words, _ANNOTATIONS))
worklists.register(
    Section(
        "bodies-here",
        "Bodies in the office",
        frozenset({Role.EVIDENCE_TECHNICIAN, Role.SUPERVISOR}),
        60,
        _here,
        empty="No bodies are in the office.",
        waits=False,
    )
)
worklists.register(
    Section(
        "bodies-held",
        "Bodies on hold",
        frozenset({Role.INVESTIGATOR, Role.SUPERVISOR}),
        61,
        _held,
        waits=False,
    )
)
worklists.register(
    Section(
        "cremations",
        "Cremation approval to decide",
        frozenset({Role.PATHOLOGIST, Role.SUPERVISOR}),
        55,
        _cremations,
    )
)
