"""What photographs and items add to the course of a case and to the first page."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from cases.course import case_frame
from cases.worklists import sections_for
from evidence.custody import actions as custody
from evidence.custody.models import Seal
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import MOMENT, make_case, make_staff
from tests.evidence.items import break_open, take
from tests.evidence.pictures import add, make_finding, picture_bytes, take_away

pytestmark = pytest.mark.django_db


def words(actor, case):
    frame = case_frame(actor, case.pk, current="photographs")
    return {step.key: step.words for step in frame.steps}


def waiting(actor, key):
    section = next(each for each in sections_for(actor) if each.key == key)
    return section.rows(actor, timezone.now())


def test_the_course_counts_photographs_and_sealed_specimens(vasko):
    case = make_case()
    assert words(vasko, case)["photographs"] == "none yet"
    assert words(vasko, case)["specimens"] == "none yet"
    finding = make_finding(case, vasko)
    first = add(vasko, case, picture_bytes(1), finding_ids=[finding.pk])
    assert words(vasko, case)["photographs"] == "1"
    add(vasko, case, picture_bytes(2), view="close-up")
    take(vasko, case, seal_number="TC 1")
    take(vasko, case, seal_number="TC 2")
    assert words(vasko, case)["photographs"] == "2, 1 without finding"
    assert words(vasko, case)["specimens"] == "2 sealed"
    seal = Seal.objects.get(number="TC 2")
    break_open(vasko, seal)
    take_away(vasko, first)
    assert words(vasko, case)["photographs"] == "1, 1 without finding"
    assert words(vasko, case)["specimens"] == "1 of 2 sealed"


def test_a_pathologist_sees_cases_whose_photographs_lack_words_or_findings(
    vasko, django_assert_num_queries
):
    mine = make_case(pathologist=vasko)
    other = make_case(pathologist=make_staff(Role.PATHOLOGIST))
    done = make_case(pathologist=vasko)
    finding = make_finding(done, vasko)
    add(vasko, mine, picture_bytes(1), shows="", view="close-up")
    add(vasko, mine, picture_bytes(2), view="mid-range")
    # An overview, and a picture of the scene, need not show a finding.
    add(vasko, mine, picture_bytes(5), view="overview")
    add(vasko, mine, picture_bytes(6), view="close-up", place="scene")
    add(vasko, other, picture_bytes(3), shows="")
    add(vasko, done, picture_bytes(4), finding_ids=[finding.pk])
    assert vasko.roles
    with django_assert_num_queries(1):
        rows = waiting(vasko, "evidence-photographs")
    assert [row.number for row in rows] == [mine.number]
    assert rows[0].detail == "photographs: 1 not described, 2 without finding"
    assert rows[0].url.endswith("?words=none")


def test_a_technician_sees_what_is_unsealed_and_what_is_in_their_hands(
    vasko, django_assert_num_queries
):
    renn, case = make_staff(Role.EVIDENCE_TECHNICIAN, name="D. Renn"), make_case()
    hidden = make_case(restricted=False)
    take(vasko, hidden, seal_number="TC 9", to_party="", to_staff=renn)
    type(hidden).objects.filter(pk=hidden.pk).update(restricted=True)
    held = take(vasko, case, seal_number="TC 1", to_party="", to_staff=renn)
    handed_on = take(vasko, case, seal_number="TC 2", to_party="", to_staff=renn)
    custody.record_transfer(
        renn,
        case_id=case.pk,
        item_id=handed_on.item_id,
        record_id=new_id(),
        version=1,
        entry={
            "to_party": "Laboratory",
            "at": MOMENT + timedelta(hours=1),
            "place": "Dock",
            "purpose": "toxicology",
            "seal_state": "intact",
        },
    )
    assert renn.roles
    with django_assert_num_queries(1):
        rows = waiting(renn, "custody-in-my-hands")
    assert [row.title for row in rows] == ["Item 1, Blood, Right femoral vein"]
    assert waiting(renn, "custody-unsealed") == []
    seal = held.item.seals.get()
    break_open(renn, seal)
    rows = waiting(renn, "custody-unsealed")
    assert [(row.title, row.urgency) for row in rows] == [
        ("Item 1, Blood, Right femoral vein", "attention")
    ]
