"""Items are counted in the database as they are counted one by one where a request is read."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from cases.court.models import Demand, RecordsRequest, RequestCase
from cases.decisions import items
from cases.decisions.actions import leave_out_records
from cases.decisions.enclosing import hand_over_apart
from cases.decisions.models import Reach
from cases.decisions.queries import standing_of
from cases.decisions.rules import BY_HAND, ItemKind
from cases.decisions.tally import KINDS, NOTHING, Tally, tallies, tally_of
from cases.models import Case
from cases.redaction.models import DocumentRedaction
from cases.review.models import Addendum, Report
from cases.statements.models import Statement
from evidence.items.models import Item
from evidence.photographs.models import Photograph
from evidence.results.models import Result
from evidence.store.models import StoredFile
from me_office.audit.ids import new_id
from tests.builders import make_case, set_back
from tests.decisions.builders import decide, demand_in, photographed, reaching, request_for

pytestmark = pytest.mark.django_db


def counted(asked: RecordsRequest, actor: Any = None) -> Tally:
    """As the database counts it, which is as it is counted where the request is read."""
    standing = standing_of(asked, actor)
    closed = set()
    if actor is not None:
        every = {one.case_id for one in RequestCase.objects.filter(request=asked)}
        closed = every - {one.pk for one in standing.cases}
    found = tallies([asked.pk, new_id()], closed=closed)
    read = tally_of([standing.state_of(one) for one in standing.demands])
    assert found.get(asked.pk, NOTHING) == read
    return read


def test_every_kind_that_is_read_is_counted_too():
    assert set(items._READERS) == KINDS
    assert set(ItemKind) == KINDS | BY_HAND


def test_a_demand_is_counted_as_it_is_decided_item_by_item(demand, clerk, vasko, ground):
    asked = demand.request
    assert counted(asked) == Tally(1, 3, 3)
    decide(demand, clerk, "release", "P 1")
    assert counted(asked) == Tally(1, 3, 2)
    # Reached twice by one demand it is one item, by two demands two.
    reaching(demand, clerk, "photograph", first=2, last=3)
    other = demand_in(asked, clerk, 2)
    ranged = reaching(other, clerk, "photograph", first=2, last=3)
    reaching(other, clerk, "photograph", last=1)
    reaching(other, clerk, "photograph", first=3)
    assert counted(asked) == Tally(2, 6, 5)
    leave_out_records(clerk, case_id=asked.case_id, request_id=asked.pk, record_id=ranged.pk,
                      version=1, reason="Struck")  # fmt: skip
    assert counted(asked) == Tally(2, 5, 4)
    decide(demand, clerk, "withhold", "P 2", "P 3", ground=ground)
    decide(other, clerk, "release")
    assert counted(asked) == Tally(2, 5, 0)
    # Touched is not changed; changed is to be decided again.
    later = timezone.now() + timedelta(minutes=1)
    first = Photograph.objects.filter(case=asked.case_id, number=1)
    set_back(first, changed_at=later)
    assert counted(asked) == Tally(2, 5, 0)
    set_back(first, shows="A café’s “door”, 😀")
    assert counted(asked) == Tally(2, 5, 2)
    set_back(Photograph.objects.filter(case=asked.case_id, number=3), voided_at=later,
             voided_by=clerk, void_reason="Twice")  # fmt: skip
    assert counted(asked) == Tally(2, 3, 2)
    set_back(Demand.objects.filter(pk=other.pk), voided_at=later, voided_by=clerk, void_reason="x")
    assert counted(asked) == Tally(1, 2, 1)


def test_every_kind_of_record_is_counted_and_none_of_a_case_that_is_not_asked_for(clerk, vasko):
    case = photographed(vasko, ("Road",))
    asked = request_for(case, clerk)
    one, two = demand_in(asked, clerk), demand_in(asked, clerk, 2)
    demand_in(asked, clerk, 3, kind="testimony")
    of_case = {"case": case, "created_by": clerk, "changed_by": clerk}
    file, now, day = StoredFile.objects.first(), timezone.now(), timezone.localdate()
    report = Report(state="draft", author=vasko, **of_case)
    added = Addendum(number=1, kind="addendum", text="x", made_at=now, made_by=vasko, **of_case)
    result = Result(number=1, kind="toxicology", status="final", organization="Lab", **of_case,
                    reported_on=day, received_on=day, statement="None")  # fmt: skip
    again = Result(number=2, kind="toxicology", status="amended", organization="Lab", **of_case,
                   reported_on=day, received_on=day, statement="None", replaces=result,
                   why_replaced="Corrected")  # fmt: skip
    said = Statement(kind="deposition", given_on=day, speaker="I. Vasko", file=file, **of_case)
    thing = Item(number=90, kind="property", title="Watch", **of_case)
    first = new_id()
    papers = [
        DocumentRedaction(source_kind="added", source_key=key, name="Paper", file=file, pages=1,
                          request=request, **of_case)
        for key, request in ((first, None), (first, asked), (new_id(), None))
    ]  # fmt: skip
    for row in (report, added, result, again, said, thing, *papers):
        type(row)._default_manager.bulk_create([row])
    for kind in sorted(KINDS):
        reaching(one, clerk, kind)
    named = reaching(two, clerk, "other", words="Slides")
    reaching(two, clerk, "recording")
    kept = standing_of(asked)
    assert {row.item.kind for row in kept.rows[one.pk]} == KINDS
    assert counted(asked) == Tally(2, 12, 12)
    decide(one, clerk, "release")
    decide(two, clerk, "release")
    assert counted(asked) == Tally(2, 12, 0)
    later = now + timedelta(minutes=1)
    for rows in (Report.objects.all(), Addendum.objects.all(), Statement.objects.all()):
        set_back(rows, version=2, changed_at=later)
    assert counted(asked).undecided == 3
    set_back(Report.objects.all(), state="signed", version=3)
    hand_over_apart(
        clerk, case_id=case.pk, request_id=asked.pk, reach_id=named.pk, record_id=new_id(),
        entry={"apart_to": "J. Moss", "apart_on": day, "apart_how": "In a box"},
    )  # fmt: skip
    assert counted(asked).undecided == 4
    other = make_case()
    of_other = {"case": other, "created_by": clerk, "changed_by": clerk}
    Statement.objects.bulk_create([
        Statement(kind="deposition", given_on=day, speaker=name, file=file, **of_other)
        for name in ("M. Thorne", "P. Quill")
    ])  # fmt: skip
    Reach.objects.bulk_create([
        Reach(request=asked, demand=two, kind="history", **of_other),
        # The first of this case, whatever the other case has.
        Reach(request=asked, demand=two, kind="statement", first=1, last=1, **of_case),
    ])  # fmt: skip
    assert counted(asked).items == 13
    tied = RequestCase.objects.create(
        case=other, request=asked, created_by=clerk, changed_by=clerk
    )  # fmt: skip
    assert counted(asked).items == 14
    Case.objects.filter(pk=other.pk).update(restricted=True)
    assert counted(asked, clerk).items == 13
    set_back(RequestCase.objects.filter(pk=tied.pk), voided_at=later, voided_by=clerk,
             void_reason="Not asked")  # fmt: skip
    assert counted(asked).items == 13


def test_hundreds_are_counted_in_one_statement(demand):
    keys = [demand.request_id, *(new_id() for _ in range(200))]
    with CaptureQueriesContext(connection) as asked:
        assert tallies(keys) == {demand.request_id: Tally(1, 3, 3)}
        assert tallies([]) == {}
    assert len(asked) == 1
