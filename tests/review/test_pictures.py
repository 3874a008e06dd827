"""Photographs and the report: what is missing is pointed out, what was measured is said."""

from __future__ import annotations

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.review import actions
from cases.review.content import report_content
from cases.review.queries import passages_of
from evidence.gaps import actions as lacking
from evidence.measuring import actions as measuring
from findings.actions import change_finding
from findings.models import Finding
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import as_person, make_staff
from tests.evidence.pictures import add, link_to, picture_bytes
from tests.measuring.pictures import measured, photograph_with_scale


def used(by, case, photograph, dimension="length", **changed):
    """A measurement of the case's finding, put into it."""
    kept, finding = measured(by, photograph, **changed), Finding.objects.get(case=case)
    measuring.use_measurement(
        by, case_id=case.pk, measurement_id=kept.pk, record_id=new_id(), finding_id=finding.pk,
        version=finding.version, dimension=dimension,
    )  # fmt: skip
    return kept


def passage(case):
    return next(one for one in passages_of(report_content(case.pk)) if one["key"] == "finding-1")


def page_of(person, case, name="report"):
    answer = as_person(person).get(reverse(f"review:{name}", kwargs={"case_id": case.pk}))
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_report_says_on_which_photograph_a_finding_was_measured(ready):
    case, vasko, _ = ready
    photograph = photograph_with_scale(vasko, case)
    kept = used(vasko, case, photograph)
    said = passage(case)
    assert (
        "On photograph 1 its length measures 3.0 cm (2.6 to 3.4), straight scale, limits for a "
        "camera tilted up to 5°, in the plane of the scale." in said["text"]
    )
    assert said["measured"] == [
        {"photograph": 1, "photograph_id": str(photograph.pk), "measurement": kept.number}
    ]


def test_from_the_report_to_the_measurement_is_one_click(ready):
    case, vasko, thorne = ready
    photograph = photograph_with_scale(vasko, case)
    used(vasko, case, photograph)
    keys = {"case_id": case.pk, "photograph_id": photograph.pk}
    link = f'href="{reverse("measuring:measure", kwargs=keys)}#measurement-1"'
    shown = f'href="{reverse("evidence:photograph", kwargs=keys)}?finding='
    assert link in page_of(vasko, case)
    assert shown in page_of(vasko, case)
    assert (
        'id="measurement-1"'
        in as_person(vasko).get(reverse("measuring:measure", kwargs=keys)).content.decode()
    )
    actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=1)
    review = page_of(thorne, case, "review")
    assert link in review
    assert shown in review


def test_a_size_that_was_changed_since_is_not_said_to_be_measured_on_a_photograph(ready):
    case, vasko, _ = ready
    used(vasko, case, photograph_with_scale(vasko, case))
    finding = Finding.objects.get(case=case)
    change_finding(
        vasko, case_id=case.pk, finding_id=finding.pk, version=finding.version,
        entry={"length_mm": 31, "measured_by": "ruler"}, reason="measured again",
    )  # fmt: skip
    assert "measured" not in passage(case)
    assert "on photograph" not in passage(case)["text"]


def test_a_withdrawn_measurement_is_no_longer_named(ready):
    case, vasko, _ = ready
    kept = used(vasko, case, photograph_with_scale(vasko, case))
    measuring.void_measurement(
        vasko, case_id=case.pk, measurement_id=kept.pk, version=1, reason="wrong edge"
    )
    assert "measured" not in passage(case)


def test_length_and_width_from_two_photographs_are_said_apart(ready):
    case, vasko, _ = ready
    used(vasko, case, photograph_with_scale(vasko, case))
    other = photograph_with_scale(vasko, case, shade=91)
    used(vasko, case, other, "width", points=[[300, 400], [500, 400]])
    words = passage(case)["text"]
    assert "On photograph 1 its length measures 3.0 cm" in words
    assert "; on photograph 2 its width measures 2.0 cm" in words


def test_missing_pictures_are_pointed_out_where_the_report_is_sent(ready):
    case, vasko, _ = ready
    page = page_of(vasko, case)
    assert "No identification photograph." in page
    assert "No photograph shows injury 1 (Contusion)." in page
    assert "Sign and send to review" in page, "they are pointed out and stop nothing"
    lacking.set_aside(
        vasko, case_id=case.pk, record_id=new_id(), key="identification:case", reason="by sight"
    )
    finding = Finding.objects.get(case=case)
    add(vasko, case, picture_bytes(), view="overview", finding_ids=[finding.pk])
    page = page_of(vasko, case)
    assert "No identification photograph." not in page
    assert "No close-up shows injury 1 (Contusion)." in page
    assert "No photograph shows" not in page
    clerk = page_of(make_staff(Role.RECORDS_CLERK), case)
    assert "1 missing in the photograph log" in clerk
    assert "Set aside" not in clerk


def test_the_report_page_asks_as_many_statements_for_many_pictures(ready):
    case, vasko, _ = ready
    finding, counts = Finding.objects.get(case=case), []
    browser = as_person(vasko)
    for wanted in (3, 30):
        while case.photograph_set.count() < wanted:
            made = add(vasko, case, picture_bytes(100 + case.photograph_set.count()))
            link_to(vasko, made, finding)
        with CaptureQueriesContext(connection) as statements:
            assert browser.get(
                reverse("review:report", kwargs={"case_id": case.pk})
            ).status_code == 200  # fmt: skip
        counts.append(len(statements))
    assert counts[0] == counts[1] <= 21, counts
