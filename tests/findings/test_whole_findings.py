"""What hangs on findings is the same whether all findings of a case are read or one of them."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from findings import actions, queries
from me_office.audit.ids import new_id
from tests.builders import make_case
from tests.findings.builders import make_examination, make_finding, place_point, void_finding

pytestmark = pytest.mark.django_db
HANGING = ("marks", "paths", "layers", "interpretations")


def told(finding):
    return {name: list(getattr(finding, name).all()) for name in HANGING}


@pytest.fixture
def examined():
    """Three findings that are marked, one voided and one that has nothing, beside another case."""
    examination, other = make_examination(), make_examination(case=make_case())
    found = [make_finding(examination) for _ in range(5)]
    for one in [*found[:4], make_finding(other)]:
        place_point(one)
    taken_back = place_point(found[0])
    actions.void_mark(
        examination.pathologist, case_id=examination.case_id, mark_id=taken_back.pk, version=1,
        reason="Twice",
    )  # fmt: skip
    actions.record_interpretation(
        examination.pathologist, case_id=examination.case_id, finding_id=found[1].pk,
        record_id=new_id(), entry={"statement": "a fall", "standing": "not excluded"},
    )  # fmt: skip
    void_finding(found[3], version=2)
    return examination.case, other.case


def test_all_of_a_case_have_what_each_has_alone(examined):
    case, other = examined
    for _ in range(2):
        with CaptureQueriesContext(connection) as asked:
            found = queries.findings_of(case)
            hanging = [told(one) for one in found]
        assert len(asked) == 5
        assert [len(one["marks"]) for one in hanging] == [1, 1, 1, 0]
        assert [len(one["interpretations"]) for one in hanging] == [0, 1, 0, 0]
        assert hanging == [told(queries.finding_for_page(case, one.pk)) for one in found]
        with CaptureQueriesContext(connection) as asked:
            assert {mark.finding.pk for one in hanging for mark in one["marks"]} == {
                one.pk for one in found[:3]
            }
        assert len(asked) == 0
    assert [len(told(one)["marks"]) for one in queries.findings_of(other)] == [1]


def test_what_is_asked_of_them_further_is_asked_of_those_that_stand(examined):
    case, _ = examined
    first, *_, last = queries.findings_of(case)
    assert first.marks.filter(view="anterior").count() == 1
    assert last.marks.filter(view="anterior").count() == last.marks.count() == 0
    assert first.marks.order_by("-pk").first().finding_id == first.pk


def test_a_case_without_findings_is_asked_for_nothing_further():
    with CaptureQueriesContext(connection) as asked:
        assert queries.findings_of(make_examination().case) == []
    assert sum("findings_mark" in one["sql"] for one in asked) == 0
