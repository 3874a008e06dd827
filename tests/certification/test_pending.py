"""Cases whose manner is pending are listed with their days, also after sign-off."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from cases.certification.models import Certification
from cases.certification.steps import _pending
from cases.rules.case import CaseState
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from tests.builders import MOMENT, make_case, make_staff


def stated(by: Staff, manner: str = "pending", *, signed: bool = False) -> str:
    case = make_case()
    Certification.objects.create(
        case=case, manner=manner, cause_a="Under study", stated_by=by, stated_at=MOMENT,
        created_by=by, changed_by=by,
    )  # fmt: skip
    if signed:
        case.state, case.signed_at = CaseState.SIGNED, MOMENT
        case.save()
    return case.label


@pytest.mark.django_db
def test_pending_cases_stand_with_their_days_the_oldest_first(django_assert_num_queries):
    vasko, other = make_staff(Role.PATHOLOGIST), make_staff(Role.PATHOLOGIST)
    chief = make_staff(Role.SUPERVISOR)
    old, foreign, young = stated(vasko, signed=True), stated(other), stated(vasko)
    stated(vasko, "natural")
    now = timezone.now() + timedelta(days=90)
    mine = _pending(vasko, now)
    assert [(row.number, row.when) for row in mine] == [
        (old, "pending 90 days"), (young, "pending 90 days"),
    ]  # fmt: skip
    assert mine[0].url.endswith("/amend/cause-and-manner/")
    assert "to be amended" in mine[0].detail
    assert _pending(vasko, now - timedelta(days=89))[0].when == "pending 1 day"
    assert chief.roles
    with django_assert_num_queries(1):
        rows = _pending(chief, now)
    assert [row.number for row in rows] == [old, foreign, young]
