"""Statements are kept, read, marked and linked; each act leaves its event or is refused."""

from __future__ import annotations

import hashlib
from datetime import date
from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from cases.packets import tasks
from cases.statements import actions, queries
from cases.statements.compared import side_by_side
from cases.statements.models import PassageLink, Statement, StatementPage, StatementPassage
from findings.actions import void_finding
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.evidence.pictures import add, make_finding, picture_bytes, take_away
from tests.exhibits.builders import make_exhibit, make_set
from tests.packets.builders import make_people, packet_for, signed_case
from tests.packets.reading import unpacked
from tests.statements.builders import (
    TRANSCRIPT,
    add_text,
    mark,
    passage_again,
)

pytestmark = pytest.mark.django_db
EARLIER = date(2026, 10, 30)
SIZED = {
    "length_mm": Decimal(110),
    "width_mm": Decimal(65),
    "place": "right chest wall",
    "impacts_kind": "at least",
    "impacts": 2,
}


@pytest.fixture
def statement(vasko, case):
    return add_text(vasko, case)


@pytest.fixture
def bruise(vasko, case):
    return make_finding(case, vasko, number=4, **SIZED)


def test_a_pasted_statement_is_kept_by_digest_with_its_pages(vasko, case):
    key = new_id()
    made = add_text(vasko, case, key=key)
    assert add_text(vasko, case, key=key) == made
    assert (made.label, made.pages_read, made.lines_printed) == ("Deposition 2 Nov 2026", 2, True)
    assert made.file.sha256 == hashlib.sha256(TRANSCRIPT.encode()).hexdigest()
    assert queries.page_numbers(made) == [31, 32]
    event = AuditEvent.objects.get(table="statements_statement")
    assert (event.act, event.actor_name) == ("add_statement", "Dr. I. Vasko")
    with pytest.raises(Conflict):
        add_text(vasko, case, "Page 31\nother words", key=key)
    assert Statement.objects.count() == 1
    assert StatementPage.objects.count() == 2


def test_passages_take_their_words_from_the_file(vasko, case, statement, bruise):
    key = new_id()
    made = mark(vasko, statement, (31, 4, 32, 2), key=key, findings=[bruise.pk], topics=[" Side "])
    assert made.words.split("\n") == [
        "A. On the left side of the chest.", "", "Q. How many blows?", "A. Two blows, I would say.",
    ]  # fmt: skip
    earlier = add_text(vasko, case, given_on=EARLIER)
    assert queries.statements_of(case) == [earlier, statement]
    again = mark(vasko, statement, (31, 4, 32, 2), key=key, findings=[bruise.pk], topics=["Side"])
    assert again == made
    with pytest.raises(Conflict):
        mark(vasko, statement, (31, 4, 32, 2), key=key, topics=["Side"])
    assert {link.words for link in PassageLink.objects.all()} == {"finding 4", "Side"}
    keys = {"case_id": case.pk, "finding_id": bruise.pk}
    void_finding(vasko, **keys, version=bruise.version, reason="seen twice")
    again = mark(vasko, statement, (31, 4, 32, 2), key=key, findings=[bruise.pk], topics=["Side"])
    assert again == made
    with pytest.raises(Refused, match="not in this case"):
        mark(vasko, statement, (31, 4, 32, 2), findings=[bruise.pk])
    for place, why in (
        ((31, 9, 31, 9), "no line 31:9"),
        ((33, 1, 33, 2), "no line 33:1"),
        ((31, 4, 31, 3), "last line comes before"),
        ((31, 5, 31, 5), "hold no words"),
    ):
        with pytest.raises(Refused, match=why):
            mark(vasko, statement, place)
    with pytest.raises(Refused, match="what these lines are about"):
        mark(vasko, statement, (31, 1, 31, 1), topics=["  "])
    long = add_text(vasko, case, "\n".join(f"Line {n}" for n in range(1, 122)))
    assert mark(vasko, long, (1, 1, 1, 120)).words.endswith("Line 120")
    with pytest.raises(Refused, match="121 lines are chosen; at most 120"):
        mark(vasko, long, (1, 1, 1, 121))


def test_what_is_said_stands_beside_the_finding_with_what_differs(vasko, case, statement, bruise):
    mark(vasko, statement, (31, 1, 31, 2), findings=[bruise.pk])
    mark(vasko, statement, (32, 4, 32, 4), findings=[bruise.pk])
    first, second = queries.said_about(case, [bruise.pk])[bruise.pk]
    assert first.where == "Deposition 2 Nov 2026, p. 31:1-2"
    assert first.difference == (
        "Said: “About ten centimeters” (read as 9.5 to 10.5 cm). "
        "In the record: length 11.0 cm, width 6.5 cm."
    )
    assert second.words == "A. At least two."
    assert second.difference == ""
    other = make_finding(case, vasko, number=5)
    assert queries.said_about(case, [other.pk]) == {}


def test_links_are_said_anew_by_who_read_the_last_version(vasko, case, statement, bruise):
    photograph = add(vasko, case, picture_bytes(3))
    exhibit = make_exhibit(vasko, make_set(vasko, case), photograph)
    made = mark(vasko, statement, (31, 2, 31, 2), findings=[bruise.pk])

    def link(version, **about):
        return actions.link_passage(
            vasko, case_id=case.pk, passage_id=made.pk, version=version,
            linked=actions.Linked(**about),
        )  # fmt: skip

    changed = link(1, photographs=[photograph.pk], exhibits=[exhibit.pk])
    assert changed.version == 2
    said = {link.words for link in PassageLink.objects.active()}
    assert said == {"photograph 1", f"exhibit {exhibit.number}"}
    assert queries.said_about(case, [bruise.pk]) == {}
    assert len(queries.said_on_photographs(case, [photograph.pk])[photograph.pk]) == 1
    assert len(queries.said_on_exhibits(case, [exhibit.pk])[exhibit.pk]) == 1
    with pytest.raises(StaleRecord):
        link(1, topics=["Size"])
    assert link(2, photographs=[photograph.pk], exhibits=[exhibit.pk]).version == 2
    low = make_finding(case, vasko, number=2)
    both = mark(vasko, statement, (31, 1, 31, 1), findings=[bruise.pk, low.pk])
    links = queries.passage_of(case, both.pk).active_links
    assert [one.finding.number for one in links] == [2, 4], "by number, not by when it was made"
    elsewhere = make_finding(make_case(by=vasko), vasko, number=9)
    with pytest.raises(Refused, match="not in this case"):
        link(2, findings=[elsewhere.pk])
    # What was withdrawn is linked no more, by old links or by new ones.
    take_away(vasko, photograph)
    assert queries.said_on_photographs(case, [photograph.pk]) == {}
    with pytest.raises(Refused, match="One of these photographs is not in this case"):
        link(2, photographs=[photograph.pk])


def test_what_was_withdrawn_is_shown_nowhere_and_stays(vasko, case, statement, bruise):
    made = mark(vasko, statement, (31, 2, 31, 2), findings=[bruise.pk])
    keys = {"case_id": case.pk, "version": 1}
    with pytest.raises(Refused, match="Say why"):
        actions.void_passage(vasko, **keys, passage_id=made.pk, reason=" ")
    actions.void_passage(vasko, **keys, passage_id=made.pk, reason="Wrong lines")
    assert passage_again(made).void_reason == "Wrong lines"
    other = mark(vasko, statement, (31, 4, 31, 4), findings=[bruise.pk])
    actions.void_statement(vasko, **keys, statement_id=statement.pk, reason="Wrong case")
    assert queries.said_about(case, [bruise.pk]) == {}
    assert queries.statements_of(case) == queries.passages_of(case) == []
    assert not passage_again(other).is_voided
    with pytest.raises(NotKnown):
        mark(vasko, statement, (31, 1, 31, 1))


def test_details_are_corrected_and_the_text_is_not(vasko, case, statement):
    def change(version, **entry):
        return actions.change_statement(
            vasko, case_id=case.pk, statement_id=statement.pk, version=version, entry=entry
        )

    assert change(1, speaker="Dr. A. Lowe", first_page=99).first_page is None
    with pytest.raises(StaleRecord):
        change(1, speaker="Dr. B. Lowe")
    with pytest.raises(Invalid):
        change(2, kind="trial")
    assert queries.page_numbers(statement) == [31, 32]


@pytest.mark.parametrize("role", [Role.INVESTIGATOR, Role.EVIDENCE_TECHNICIAN])
def test_other_roles_keep_no_statements(role, vasko, case, statement, bruise):
    somebody, made = make_staff(role), mark(vasko, statement, (31, 2, 31, 2))
    keys = {"case_id": case.pk, "version": 1}
    for attempt in (
        lambda: add_text(somebody, case),
        lambda: actions.change_statement(
            somebody, **keys, statement_id=statement.pk, entry={"note": "x"}
        ),
        lambda: actions.void_statement(somebody, **keys, statement_id=statement.pk, reason="x"),
        lambda: actions.retry_statement_reading(somebody, **keys, statement_id=statement.pk),
        lambda: actions.abandon_statement(somebody, **keys, statement_id=statement.pk),
        lambda: mark(somebody, statement, (31, 1, 31, 1)),
        lambda: actions.link_passage(
            somebody, **keys, passage_id=made.pk, linked=actions.Linked(topics=["x"])
        ),
        lambda: actions.void_passage(somebody, **keys, passage_id=made.pk, reason="x"),
    ):
        with pytest.raises(NotAllowed):
            attempt()
    assert Statement.objects.active().count() == StatementPassage.objects.active().count() == 1


def test_topics_that_the_record_has_a_figure_of_are_compared(vasko, case, statement, bruise):
    examination = bruise.examination
    examination.crown_heel_cm = Decimal("180.0")
    examination.save()
    said = add_text(vasko, case, "He was five feet eight inches tall.\nThe light was off.")
    mark(vasko, said, (1, 1, 1, 1), topics=["body length"])
    mark(vasko, said, (1, 2, 1, 2), topics=["Light"])
    beside = side_by_side(case)
    assert [(one.title, one.differing, bool(one.figures)) for one in beside.topics] == [
        ("Light", 0, False), ("body length", 1, True),
    ]  # fmt: skip
    assert beside.findings == []
    assert not beside.sent


def test_a_time_that_is_no_one_minute_is_compared_with_nothing():
    at = {"found_at": timezone.now(), "pronounced_at": None, "last_alive_at": None}
    for sure, told in (("exact", True), ("about", True), ("between", False), ("unknown", False)):
        report = SimpleNamespace(**at, found_certainty=sure, last_alive_certainty="exact")
        figures = queries.topics_in_record(SimpleNamespace(report_of_death=report))
        assert (list(figures) == ["time found"]) is told, sure


def test_side_by_side_takes_the_same_statements_for_more_findings(vasko, case, statement):
    counts = []
    for more in (3, 17):
        for n in range(more):
            number = 100 * len(counts) + n + 1
            finding = make_finding(case, vasko, number=number, **SIZED)
            mark(vasko, statement, (31, 2, 31, 4), findings=[finding.pk])
        with CaptureQueriesContext(connection) as asked:
            beside = side_by_side(case)
        counts.append(len(asked))
    assert len(beside.findings) == 20
    assert {(one.differing, one.asked) for one in beside.findings} == {(1, 0)}
    assert counts[0] == counts[1]


def test_a_signed_case_takes_statements_and_none_of_it_is_in_its_packet(tmp_path, clerk):
    case = signed_case()
    vasko, _ = make_people()
    finding = case.finding_set.order_by("number").first()
    said = add_text(
        vasko, case, "It was five zorbel centimeters on the left side.",
        speaker="Dr. Quandrel", note="From counsel Umbrick",
    )  # fmt: skip
    mark(vasko, said, (1, 1, 1, 1), findings=[finding.pk], topics=["Vexley"])
    assert StatementPassage.objects.get().words.startswith("It was five zorbel")
    (beside,) = side_by_side(case).findings
    assert beside.reported is not None
    assert (beside.reported.where, beside.reported.touched_by) == ("page not known yet", ())
    assert "contusion" in beside.reported.words
    packet = packet_for(case, clerk)
    tasks.build_packet(request_id=str(packet.pk))
    packet.refresh_from_db()
    folder = unpacked(packet, tmp_path)
    files = [one for one in folder.rglob("*") if one.is_file()]
    assert any(one.name == "history.json" for one in files)
    tell_tale = [
        b"zorbel",
        b"Quandrel",
        b"Umbrick",
        b"Vexley",
        b"statements_",
        str(said.pk).encode(),
    ]
    for one in files:
        content = one.read_bytes()
        assert [word for word in tell_tale if word in content] == [], one.name


def test_an_entry_that_cannot_be_so_is_refused_before_anything_is_kept(vasko, case):
    with pytest.raises(Invalid):
        add_text(vasko, case, kind="trial", court="")
    with pytest.raises(Refused, match="one of the two"):
        add_text(vasko, case, "  ")
    with pytest.raises(Refused, match="comes after"):
        add_text(vasko, case, "Page 2\na\nPage 1\nb")
    assert not Statement.objects.exists()


def test_what_differs_only_in_a_question_is_counted_apart(vasko, case, bruise):
    said = add_text(vasko, case, "Q. Was it ten centimeters?\nA. No, eleven.\nA. Two blows.")
    mark(vasko, said, (1, 1, 1, 2), findings=[bruise.pk])
    (one,) = side_by_side(case).findings
    assert (one.differing, one.asked) == (0, 1)
    mark(vasko, said, (1, 1, 1, 3), findings=[bruise.pk])
    (one,) = side_by_side(case).findings
    assert (one.differing, one.asked) == (1, 1)
