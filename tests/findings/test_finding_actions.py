"""Findings and their marks: derived, overridden, voided, never renumbered."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from cases.models import Case
from findings import actions, queries
from findings.body.picking import pick
from findings.body.position import describe
from findings.chart import queries as chart_queries
from findings.models import Finding, Mark
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_staff
from tests.findings.builders import (
    BESIDE_THE_BODY,
    ON_RIGHT_CHEST,
    a_mark,
    contusion,
    make_examination,
    make_finding,
    place_point,
    void_finding,
    write_in,
)

pytestmark = pytest.mark.django_db


def change(examination, finding, *, version=None, reason="", **entry):
    return actions.change_finding(
        examination.pathologist,
        case_id=examination.case_id,
        finding_id=finding.pk,
        version=version or finding.version,
        entry=entry,
        reason=reason,
    )


def test_a_finding_is_recorded_with_its_mark_in_one_go(examination):
    finding = make_finding(examination, marks=[a_mark()])
    acts = set(AuditEvent.objects.filter(case_id=examination.case_id).values_list("act", "table"))
    assert ("record_finding", "findings_finding") in acts
    assert ("record_finding", "findings_mark") in acts
    assert finding.number == 1
    assert finding.marks.get().region == finding.region


def test_place_and_position_follow_from_the_surface_under_the_mark(examination):
    finding = make_finding(examination, marks=[a_mark()])
    under = pick("adult_male", "anterior", *ON_RIGHT_CHEST)
    position = describe("adult_male", under.point, 171.0, normal=under.normal)
    assert (finding.region, finding.place) == (under.region, under.term)
    assert float(finding.above_heel_cm) == position.height_above_heel_cm
    assert float(finding.below_top_cm) == position.below_top_of_head_cm
    assert float(finding.from_midline_cm) == -position.midline_offset_cm
    assert (finding.midline, finding.place_source) == (position.midline, "derived")
    assert finding.position_source == "derived"


def test_a_finding_may_be_recorded_without_a_mark(examination):
    finding = make_finding(examination, place="Right ribs 5 to 8", term="Fractures")
    assert (finding.place, finding.place_source) == ("Right ribs 5 to 8", "by hand")
    assert finding.above_heel_cm is None


def test_what_is_said_by_hand_stays_and_is_told_apart(examination):
    finding = make_finding(
        examination,
        marks=[a_mark()],
        place="Right chest, below the nipple",
        above_heel_cm=Decimal("120.0"),
        below_top_cm=None,
        from_midline_cm=Decimal("-13.5"),
        midline="anterior",
    )
    assert (finding.place_source, finding.position_source) == ("by hand", "measured")
    mark = finding.marks.get()
    actions.move_mark(
        examination.pathologist,
        case_id=examination.case_id,
        mark_id=mark.pk,
        version=1,
        entry={"points": [[-70.0, 300.0]]},
    )
    finding = Finding.objects.get(pk=finding.pk)
    assert finding.place == "Right chest, below the nipple"
    assert finding.above_heel_cm == Decimal("120.0")


def test_emptying_the_place_goes_back_to_what_is_derived(examination):
    finding = make_finding(examination, marks=[a_mark()], place="Somewhere else")
    changed = change(examination, finding, place="", above_heel_cm=None)
    assert changed.place_source == "derived"
    assert changed.place == pick("adult_male", "anterior", *ON_RIGHT_CHEST).term


def test_moving_a_mark_moves_what_was_derived(examination):
    finding = make_finding(examination, marks=[a_mark()])
    before = finding.above_heel_cm
    actions.move_mark(
        examination.pathologist,
        case_id=examination.case_id,
        mark_id=finding.marks.get().pk,
        version=1,
        entry={"points": [[-70.0, 340.0]]},
        reason="placed too high",
    )
    moved = Finding.objects.get(pk=finding.pk)
    assert moved.above_heel_cm < before
    assert moved.version == 2
    event = AuditEvent.objects.filter(table="findings_mark").last()
    assert (event.act, event.reason) == ("move_mark", "placed too high")


def test_a_mark_beside_the_body_is_refused(examination):
    with pytest.raises(Refused) as refusal:
        make_finding(examination, marks=[a_mark(points=[BESIDE_THE_BODY])])
    assert refusal.value.field == "points"
    assert not Finding.objects.exists()


@pytest.mark.parametrize(
    ("kind", "points"),
    [
        ("line", [ON_RIGHT_CHEST]),
        ("area", [ON_RIGHT_CHEST, [-60, 290]]),
        ("point", [ON_RIGHT_CHEST, [-60, 290]]),
        ("point", [["left", 290]]),
        ("point", [[float("nan"), 290]]),
        ("point", "here"),
        ("star", [ON_RIGHT_CHEST]),
    ],
)
def test_points_that_make_no_mark_are_refused(examination, kind, points):
    with pytest.raises(Refused):
        make_finding(examination, marks=[a_mark(kind, points)])


def test_an_unknown_view_is_refused(examination):
    with pytest.raises(Refused) as refusal:
        make_finding(examination, marks=[a_mark(view="inside out")])
    assert refusal.value.field == "view"


def test_the_same_request_twice_is_one_finding(examination):
    key, mark = new_id(), a_mark()
    numbers = [
        actions.record_finding(
            examination.pathologist,
            case_id=examination.case_id,
            record_id=key,
            entry=contusion(seen_as=" Purple-red "),
            marks=[mark],
        ).number
        for _ in range(2)
    ]
    assert numbers == [1, 1]
    assert (Finding.objects.count(), Mark.objects.count()) == (1, 1)


def test_the_same_key_for_another_finding_is_a_conflict(examination):
    finding = make_finding(examination)
    with pytest.raises(Conflict):
        actions.record_finding(
            examination.pathologist,
            case_id=examination.case_id,
            record_id=finding.pk,
            entry=contusion(term="Abrasion"),
        )


def test_a_voided_number_is_never_used_again(examination):
    make_finding(examination)
    second = make_finding(examination, marks=[a_mark()])
    void_finding(second, "Recorded on the wrong body")
    third = make_finding(examination)
    assert third.number == 3
    assert [one.number for one in queries.findings_of(examination.case)] == [1, 3]
    assert chart_queries.chart_marks(examination.case) == []
    event = AuditEvent.objects.filter(record_id=str(second.pk)).last()
    assert (event.act, event.reason) == ("void_finding", "Recorded on the wrong body")


def test_voiding_needs_a_reason(examination):
    finding = make_finding(examination)
    with pytest.raises(Refused) as refusal:
        void_finding(finding, " ")
    assert refusal.value.field == "reason"


def test_a_voided_finding_is_not_edited(examination):
    finding = make_finding(examination)
    void_finding(finding)
    with pytest.raises(Refused, match="voided"):
        change(examination, finding, version=2, term="Abrasion")
    with pytest.raises(Refused, match="voided"):
        place_point(finding)


def test_a_stale_change_is_refused(examination):
    finding = make_finding(examination)
    change(examination, finding, term="Abrasion")
    with pytest.raises(StaleRecord):
        change(examination, finding, version=1, term="Laceration")


def test_a_change_keeps_why(examination):
    finding = make_finding(examination, length_mm=Decimal("105"), measured_by="ruler")
    change(examination, finding, length_mm=Decimal("110"), reason="remeasured after cleaning")
    event = AuditEvent.objects.filter(record_id=str(finding.pk)).last()
    assert event.reason == "remeasured after cleaning"
    assert event.changes["length_mm"] == [105.0, 110]


def test_after_the_end_a_change_needs_a_reason(examination):
    finding = make_finding(examination)
    write_in(examination, 1, ended_at=timezone.now() - timedelta(minutes=1))
    with pytest.raises(Refused) as refusal:
        change(examination, finding, term="Abrasion")
    assert refusal.value.field == "reason"
    assert change(examination, finding, term="Abrasion", reason="typing error").version == 2


@pytest.mark.parametrize(
    ("entry", "field"),
    [
        ({"length_mm": Decimal("20")}, "measured_by"),
        ({"impacts_kind": "cannot be determined"}, "impacts_reason"),
        ({"klass": "artifact", "impacts_kind": "exactly", "impacts": 1}, "impacts_kind"),
    ],
)
def test_a_finding_that_does_not_hold_together_is_refused(examination, entry, field):
    with pytest.raises(Refused) as refusal:
        make_finding(examination, **entry)
    assert refusal.value.field == field


def test_only_a_pathologist_records(examination):
    with pytest.raises(NotAllowed):
        make_finding(examination, by=make_staff(Role.INVESTIGATOR))


def test_a_finding_of_another_case_is_not_known(examination):
    other = make_examination()
    finding = make_finding(other)
    with pytest.raises(NotKnown):
        change(examination, finding, term="Abrasion")


def test_a_finding_needs_an_opened_examination():
    from tests.builders import make_case

    with pytest.raises(Refused, match="Open the examination first"):
        actions.record_finding(
            make_staff(Role.PATHOLOGIST),
            case_id=make_case().pk,
            record_id=new_id(),
            entry=contusion(),
        )


def test_an_edited_sentence_shows_when_the_data_changed_since(examination):
    finding = make_finding(examination, sentence="There is a bruise.")
    assert finding.sentence_for_version == finding.version
    changed = change(examination, finding, seen_as="Blue")
    assert changed.sentence_for_version < changed.version
    checked = change(examination, changed, sentence_checked=True)
    assert checked.sentence_for_version == checked.version


def test_voiding_the_last_mark_keeps_the_place_as_said_by_hand(examination):
    finding = make_finding(examination, marks=[a_mark()])
    actions.void_mark(
        examination.pathologist,
        case_id=examination.case_id,
        mark_id=finding.marks.get().pk,
        version=1,
        reason="wrong side",
    )
    stands = Finding.objects.get(pk=finding.pk)
    assert (stands.place, stands.place_source) == (finding.place, "by hand")
    assert (stands.region, stands.above_heel_cm) == ("", None)


def test_a_mark_placed_later_derives_the_place(examination):
    finding = make_finding(examination)
    for _ in range(2):
        mark = actions.place_mark(
            examination.pathologist,
            case_id=examination.case_id,
            finding_id=finding.pk,
            record_id=finding.pk,  # any key of the client's
            entry={"view": "anterior", "kind": "point", "points": [ON_RIGHT_CHEST]},
        )
    stands = Finding.objects.get(pk=finding.pk)
    assert Mark.objects.count() == 1
    assert (stands.region, stands.place_source) == (mark.region, "derived")


def record_two_at_once(at_once, examination):
    results = at_once(
        actions.record_finding,
        by=[examination.pathologist, examination.pathologist],
        each=[{"record_id": new_id()}, {"record_id": new_id()}],
        meet_after="findings.actions.finding._next_number",
        case_id=examination.case_id,
        entry=contusion(),
    )
    return [one.code for one in results]


def test_two_findings_at_once_get_two_numbers(at_once):
    examination = make_examination()
    assert record_two_at_once(at_once, examination) == ["done", "done"]
    numbers = Finding.objects.filter(case=examination.case).values_list("number", flat=True)
    assert sorted(numbers) == [1, 2]


def test_without_the_lock_on_the_case_two_findings_would_collide(at_once, monkeypatch):
    # The control: proves that the test above can see the race.
    examination = make_examination()
    monkeypatch.setattr(
        "cases.queries.case_for_update", lambda case_id: Case.objects.get(pk=case_id)
    )
    monkeypatch.setattr("findings.actions.entry.examination_for_update", queries.examination_of)
    codes = record_two_at_once(at_once, examination)
    assert codes.count("done") == 1
