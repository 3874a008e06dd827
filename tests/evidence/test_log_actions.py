"""Series of photographs and outlines of findings: who may, when, and what the trail keeps."""

from __future__ import annotations

import pytest

from cases.rules.case import CaseState
from evidence.gaps import queries as gap_queries
from evidence.photographs import actions
from evidence.photographs import queries as photograph_queries
from evidence.photographs.models import PhotographSeries, SeriesPhotograph
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, make_finding, picture_bytes, take_away

pytestmark = pytest.mark.django_db
CORNERS = [[0.2, 0.2], [0.6, 0.2], [0.4, 0.7]]


@pytest.fixture
def shown(vasko):
    """A photograph with the link to the finding that it shows."""
    case = make_case()
    photograph = add(vasko, case, picture_bytes(), finding_ids=[make_finding(case, vasko).pk])
    return photograph.finding_links.get()


def series_of_two(vasko, case, **more):
    pictures = [add(vasko, case, picture_bytes(n), view=view) for n, view in
                enumerate(("close-up", "overview"))]  # fmt: skip
    entry = {"title": "right chest", "photograph_ids": [each.pk for each in pictures]}
    keys = {"case_id": case.pk, "record_id": new_id(), "entry": entry, **more}
    return actions.make_series(vasko, **keys), pictures, keys


def outline(actor, link, points, version=1):
    return actions.outline_finding(
        actor, case_id=link.case_id, link_id=link.pk, version=version, entry={"outline": points}
    )


def test_an_outline_is_kept_and_leaves_its_event(vasko, shown):
    kept = outline(vasko, shown, CORNERS)
    assert (kept.outline, kept.version) == (CORNERS, 2)
    event = AuditEvent.objects.filter(record_id=str(shown.pk)).last()
    assert (event.act, event.actor_name) == ("outline_finding", "Dr. I. Vasko")
    assert event.changes["outline"] == [None, CORNERS]
    assert outline(vasko, shown, None, version=2).outline is None


def test_an_outline_is_refused_by_role_when_stale_when_signed_and_when_it_is_none(vasko, shown):
    with pytest.raises(NotAllowed):
        outline(make_staff(Role.RECORDS_CLERK), shown, CORNERS)
    with pytest.raises(Refused, match="three corners"):
        outline(vasko, shown, CORNERS[:2])
    outline(vasko, shown, CORNERS)
    with pytest.raises(StaleRecord):
        outline(vasko, shown, [[0.5, 0.5]])
    type(shown.case).objects.filter(pk=shown.case_id).update(
        state="signed", signed_at="2026-11-20T10:00Z"
    )
    with pytest.raises(NotAllowed, match="signed and locked"):
        outline(vasko, shown, None, version=2)


def test_a_withdrawn_link_takes_no_outline(vasko, shown):
    actions.unlink_finding(
        vasko, case_id=shown.case_id, link_id=shown.pk, version=1, reason="other side"
    )
    with pytest.raises(Refused, match="withdrawn"):
        outline(vasko, shown, CORNERS, version=2)


def test_a_link_is_not_outlined_through_another_case(vasko, shown):
    with pytest.raises(NotKnown):
        actions.outline_finding(
            vasko, case_id=make_case().pk, link_id=shown.pk, version=1, entry={"outline": None}
        )


def test_a_series_holds_its_photographs_from_further_to_nearer(vasko):
    case = make_case()
    series, _, _ = series_of_two(vasko, case)
    (there,) = photograph_queries.series_of(case)
    assert there.series == series
    assert [each.photograph.view for each in there.members] == ["overview", "close-up"]
    events = AuditEvent.objects.filter(act="make_series", case_id=case.pk)
    assert sorted(event.table for event in events) == [
        "evidence_photographseries", "evidence_seriesphotograph", "evidence_seriesphotograph",
    ]  # fmt: skip


def test_the_same_series_twice_is_one_and_another_under_its_key_is_a_conflict(vasko):
    case = make_case()
    series, _, keys = series_of_two(vasko, case)
    assert actions.make_series(vasko, **keys).pk == series.pk
    assert PhotographSeries.objects.count() == 1
    assert SeriesPhotograph.objects.count() == 2
    with pytest.raises(Conflict):
        actions.make_series(vasko, **{**keys, "entry": {**keys["entry"], "title": "left arm"}})


def test_a_series_of_one_is_none_and_leaves_nothing(vasko):
    case = make_case()
    one = add(vasko, case, picture_bytes())
    with pytest.raises(Refused, match="two photographs or more"):
        actions.make_series(
            vasko, case_id=case.pk, record_id=new_id(),
            entry={"title": "chest", "photograph_ids": [one.pk, one.pk]},
        )  # fmt: skip
    assert PhotographSeries.objects.count() == 0


def test_photographs_of_another_case_are_not_known(vasko):
    case, other = make_case(), add(vasko, make_case(), picture_bytes())
    own = add(vasko, case, picture_bytes())
    with pytest.raises(NotKnown):
        actions.make_series(
            vasko, case_id=case.pk, record_id=new_id(),
            entry={"title": "x", "photograph_ids": [other.pk, own.pk]},
        )  # fmt: skip


def test_a_photograph_is_added_once_and_taken_out_with_a_reason(vasko):
    case = make_case()
    series, _, _ = series_of_two(vasko, case)
    third = add(vasko, case, picture_bytes(9))
    keys = {"case_id": case.pk, "series_id": series.pk, "photograph_id": third.pk}
    record_id = new_id()
    member = actions.add_to_series(vasko, record_id=record_id, **keys)
    assert actions.add_to_series(vasko, record_id=record_id, **keys).pk == member.pk
    with pytest.raises(Refused, match="in this series already"):
        actions.add_to_series(vasko, record_id=new_id(), **keys)
    out = {"case_id": case.pk, "member_id": member.pk}
    with pytest.raises(Refused, match="Say why"):
        actions.take_from_series(vasko, **out, version=1, reason="")
    with pytest.raises(StaleRecord):
        actions.take_from_series(vasko, **out, version=7, reason="left side")
    actions.take_from_series(vasko, **out, version=1, reason="left side")
    assert len(photograph_queries.one_series(case, series.pk).members) == 2
    actions.add_to_series(vasko, record_id=new_id(), **keys)
    trail = AuditEvent.objects.filter(record_id=str(member.pk)).order_by("id")
    assert [(each.act, each.reason) for each in trail] == [
        ("add_to_series", ""), ("take_from_series", "left side"),
    ]  # fmt: skip


def test_a_withdrawn_series_keeps_its_photographs_and_takes_no_more(vasko):
    case = make_case()
    series, pictures, _ = series_of_two(vasko, case)
    keys = {"case_id": case.pk, "series_id": series.pk}
    with pytest.raises(StaleRecord):
        actions.void_series(vasko, **keys, version=4, reason="two areas")
    actions.void_series(vasko, **keys, version=1, reason="two areas")
    assert photograph_queries.series_of(case) == []
    assert len(photograph_queries.photograph_log(case)) == 2
    with pytest.raises(Refused, match="withdrawn"):
        actions.add_to_series(vasko, record_id=new_id(), photograph_id=pictures[0].pk, **keys)


@pytest.mark.parametrize("role", [Role.SUPERVISOR, Role.RECORDS_CLERK])
def test_roles_that_may_not_make_no_series(vasko, role):
    case = make_case()
    series, pictures, keys = series_of_two(vasko, case)
    actor = make_staff(role)
    with pytest.raises(NotAllowed):
        actions.make_series(actor, **{**keys, "record_id": new_id()})
    with pytest.raises(NotAllowed):
        actions.void_series(actor, case_id=case.pk, series_id=series.pk, version=1, reason="x")
    member = series.members.first()
    with pytest.raises(NotAllowed):
        actions.take_from_series(actor, case_id=case.pk, member_id=member.pk, version=1, reason="x")
    with pytest.raises(NotAllowed):
        actions.add_to_series(
            actor, case_id=case.pk, record_id=new_id(), series_id=series.pk,
            photograph_id=pictures[0].pk,
        )  # fmt: skip


def test_a_signed_case_takes_no_series(vasko):
    with pytest.raises(NotAllowed, match="signed and locked"):
        actions.make_series(
            vasko, case_id=make_case(state=CaseState.SIGNED).pk, record_id=new_id(),
            entry={"title": "x", "photograph_ids": [new_id(), new_id()]},
        )  # fmt: skip


def test_a_withdrawn_photograph_leaves_its_series(vasko):
    case = make_case()
    series, pictures, _ = series_of_two(vasko, case)
    take_away(vasko, pictures[0])
    assert [each.photograph for each in photograph_queries.one_series(case, series.pk).members] == [
        pictures[1]
    ]


def test_what_is_missing_is_read_in_three_statements(vasko, django_assert_num_queries):
    case = make_case()
    series_of_two(vasko, case)
    with django_assert_num_queries(3):
        gaps, proposals = gap_queries.gaps_and_proposals(case)
    assert [str(each.kind) for each in gaps] == ["identification", "scale"]
    assert proposals == []
