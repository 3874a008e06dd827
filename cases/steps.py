"""What the case file adds to the course of a case and to the worklists."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db.models import OuterRef, Subquery
from django.urls import reverse

from cases.course import Step
from cases.course import register as register_step
from cases.models import BodyReceipt, Case
from cases.queries import waiting
from cases.rules.case import CaseState
from cases.worklists import LIMIT, Section, Waiting
from cases.worklists import register as register_section
from me_office.accounts.models import Staff
from me_office.accounts.queries import accounts_to_look_at
from me_office.accounts.roles import Role
from me_office.prepared import Facts
from me_office.shell.templatetags.office import short_moment

# A report that nobody has decided on for this long stands out. Common practice.
UNDECIDED_STANDS_OUT = timedelta(hours=12)
UNASSIGNED_STANDS_OUT = timedelta(days=1)


def _first_call_words(case: Case, facts: Facts) -> str:
    if case.state == CaseState.REPORTED:
        return "jurisdiction not decided"
    return "declined" if case.state == CaseState.DECLINED else "recorded"


def _scene_words(case: Case, facts: Facts) -> str:
    if facts["cases_has_scene"]:
        more = facts["cases_other_places"]
        return f"{more + 1} places" if more else "recorded"
    return "no scene visit" if facts["cases_no_visit"] else "not recorded"


def _body_words(case: Case, facts: Facts) -> str:
    if facts["cases_received_at"] is None:
        return "not received"
    return f"received {short_moment(facts['cases_received_at'])}"


def _lacking_words(case: Any) -> str:
    lacking = [
        words
        for is_there, words in (
            (case.has_scene, "scene not recorded"),
            (case.has_receipt, "body not received"),
            (case.has_notified_kin or case.no_name_yet, "next of kin not notified"),
        )
        if not is_there
    ]
    return ", ".join(lacking)


def _next_page(case: Any) -> str:
    if not case.has_scene:
        return "cases:scene"
    return "cases:body" if not case.has_receipt else "cases:scene"


def _row(case: Any, now: datetime, *, url_name: str, detail: str, after: timedelta) -> Waiting:
    return Waiting(
        number=case.number or "no number",
        title=f"{case.decedent.full_name}: {case.heading}",
        detail=detail,
        when=f"since {short_moment(case.reported_at)}",
        url=reverse(url_name, kwargs={"case_id": case.pk}),
        urgency="attention" if now - case.reported_at > after else "",
        since=case.reported_at,
    )


def _undecided(actor: Staff, now: datetime) -> list[Waiting]:
    return [
        _row(
            case,
            now,
            url_name="cases:jurisdiction",
            detail=case.place_of_death,
            after=UNDECIDED_STANDS_OUT,
        )
        for case in waiting.undecided_reports(actor)
    ]


def _incomplete(actor: Staff, now: datetime) -> list[Waiting]:
    return [
        _row(
            case,
            now,
            url_name=_next_page(case),
            detail=_lacking_words(case),
            after=UNASSIGNED_STANDS_OUT,
        )
        for case in waiting.incomplete_cases_of(actor)
    ]


def _unassigned_words(case: Any) -> str:
    who = f"investigator {case.investigator}" if case.investigator else "no investigator"
    if case.pathologist_id is None:
        return who
    return f"assigned to {case.pathologist}, whose account is closed; {who}"


def _unassigned(actor: Staff, now: datetime) -> list[Waiting]:
    return [
        _row(
            case,
            now,
            url_name="cases:assignment",
            detail=_unassigned_words(case),
            after=UNASSIGNED_STANDS_OUT,
        )
        for case in waiting.cases_without_pathologist(actor)
    ]


def _accounts(actor: Staff, now: datetime) -> list[Waiting]:
    required = settings.REQUIRE_SECOND_FACTOR
    found = accounts_to_look_at(second_factor_required=required, most=LIMIT)
    return [
        Waiting(
            number=person.username,
            title=str(person),
            detail=", ".join(person.role_names) or "no role",
            when=_account_words(person),
            url=reverse("people:person", kwargs={"staff_id": person.pk}),
        )
        for person in found
    ]


def _account_words(person: Any) -> str:
    if person.last_login is None:
        return "never signed in"
    return "password to change" if person.must_change_password else "no second factor"


register_step(Step("first_call", "First call", 10, "cases:report", _first_call_words))
register_step(
    Step(
        "scene",
        "Scene",
        20,
        "cases:scene",
        _scene_words,
        {
            "cases_has_scene": waiting.HAS_SCENE,
            "cases_no_visit": waiting.NO_SCENE_VISIT,
            "cases_other_places": waiting.OTHER_PLACES,
        },
    )
)
register_step(
    Step(
        "body",
        "Body",
        30,
        "cases:body",
        _body_words,
        {
            "cases_received_at": Subquery(
                BodyReceipt.objects.active().filter(case=OuterRef("pk")).values("received_at")[:1]
            )
        },
    )
)
register_section(
    Section(
        "undecided",
        "Jurisdiction to decide",
        frozenset({Role.INVESTIGATOR, Role.SUPERVISOR}),
        10,
        _undecided,
        empty="No reports of death are waiting for a decision.",
    )
)
register_section(
    Section(
        "incomplete",
        "Your cases with something missing",
        frozenset({Role.INVESTIGATOR}),
        20,
        _incomplete,
        empty="Scene, receipt and notification are recorded in all your open cases.",
    )
)
register_section(
    Section(
        "unassigned",
        "Cases without a pathologist",
        frozenset({Role.SUPERVISOR}),
        30,
        _unassigned,
        empty="Every open case has a pathologist.",
    )
)
register_section(
    Section(
        "accounts",
        "Accounts to check",
        frozenset({Role.ADMINISTRATOR}),
        90,
        _accounts,
        empty="Everyone signs in with a password of their own.",
    )
)
