"""The search within a case: what is found, by whom, in how many statements."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.actions import restrict_case
from cases.case_search.queries import MOST, SEARCH, found_in_case
from cases.case_search.rules import read_asked
from cases.case_search.seen import WORDS
from cases.exhibits.actions import compose_exhibit, void_exhibit_set
from cases.rehearsal import actions as rehearsal
from cases.statements.actions import void_statement
from cases.statements.models import Statement
from evidence.photographs.models import Photograph
from findings import actions as findings
from findings.models import Examination, Finding, Interpretation, LayerFinding, Mark
from findings.paths.models import WoundPath
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent, AuditEvent
from tests.builders import MOMENT, as_person, make_case, make_staff
from tests.evidence.pictures import add, link_to, picture_bytes
from tests.exhibits.builders import make_exhibit, make_set
from tests.findings.builders import a_mark
from tests.packets.builders import examined_case
from tests.review.test_review import make_people, make_ready, signed
from tests.statements.builders import add_text

pytestmark = pytest.mark.django_db


def on_the_forearm(vasko, case, **entry):
    """A finding that is drawn on the left forearm; no word of it says so."""
    made = findings.record_finding(
        vasko,
        case_id=case.pk,
        record_id=new_id(),
        entry={"klass": "injury", "term": "Abrasion", "place": "as drawn", **entry},
        marks=[a_mark(points=[[180.0, 400.0]])],
    )  # fmt: skip
    assert [mark.region for mark in made.marks.all()] == ["forearm_anterior_l"]
    return made


def build():
    """A case with something of every kind; its third finding lies on the left forearm."""
    vasko = make_staff(Role.PATHOLOGIST, name="I. Vasko")
    case = examined_case(vasko)
    on_the_forearm(vasko, case, seen_as="The edges dried after death")
    third = Finding.objects.get(case=case, number=3)
    Photograph.objects.filter(case=case, number=2).update(photographer="D. Renn")
    link_to(vasko, Photograph.objects.get(case=case, number=2), third)
    exhibit = make_exhibit(
        vasko, make_set(vasko, case), Photograph.objects.get(case=case, number=1),
        number="7", caption="Chest of the driver",
    )  # fmt: skip
    add_text(vasko, case)
    return case, vasko, third, exhibit


@pytest.fixture(scope="module")
def _built_once(made_once):
    return made_once(build)


@pytest.fixture
def built(db, _built_once):
    """(case, pathologist, finding 3, exhibit 7)."""
    return _built_once


def titles(case, typed):
    """What a search finds, by the key of its kind."""
    found = found_in_case(case, read_asked(typed))
    return {group.key: [hit.title for hit in group.hits] for group in found.groups}


def test_words_are_found_in_any_form_and_everywhere(built):
    case, *_ = built
    found = titles(case, "drying")
    assert found["findings"] == ["3 Abrasion, as drawn"]
    assert "photographs" not in found
    # The stem of "drying" begins "driver" as well, and that is another word.
    assert "exhibits" not in found
    assert set(titles(case, "driver")) == set(titles(case, "drive")) == {"exhibits", "history"}
    assert len(titles(case, "refrig")["items"]) == 1
    assert titles(case, "chest front")["photographs"] == ["P 1, chest", "P 2, chest"]
    assert titles(case, "femoral vein")["items"] == ["Item 3, Femoral blood, left femoral vein"]
    assert len(titles(case, "Refrigerator")["items"]) == 1
    assert set(titles(case, "vasko")) >= {"report", "items", "history"}
    assert titles(case, "renn")["photographs"] == ["P 2, chest"]
    # All words, not any of them.
    assert titles(case, "drying nowhere") == {}
    assert titles(case, "the") == {}
    assert titles(case, "of the") == {}
    assert titles(case, "bruise of the chest")["statements"] == [
        "Deposition 2 Nov 2026, Dr. I. Vasko, page 31"
    ]
    said = Statement.objects.get(case=case)
    void_statement(
        said.created_by, case_id=case.pk, statement_id=said.pk, version=1, reason="Wrong case"
    )
    assert "statements" not in titles(case, "bruise of the chest")


def test_nobody_finds_what_a_witness_noted_to_prepare(built):
    case, vasko, _, exhibit = built
    keys = {"case_id": case.pk, "set_id": exhibit.exhibit_set_id, "exhibit_id": exhibit.pk}
    rehearsal.add_own_question(
        vasko, record_id=new_id(), entry={"question": "Quixotry?", "answer": "Wombwell."}, **keys
    )
    assert AuditEvent.objects.filter(case_id=case.pk, changes__icontains="wombwell").exists()
    for word in ("quixotry", "wombwell", "rehears", "question"):
        assert titles(case, word) == {}, word


def test_the_words_around_a_hit_are_shown_with_it_marked(built):
    case, *_ = built
    found = found_in_case(case, read_asked("drying"))
    (group,) = [group for group in found.groups if group.key == "findings"]
    pieces = group.hits[0].pieces
    assert ("dried", True) in pieces
    assert "after death" in "".join(piece for piece, _ in pieces)


def test_what_lies_on_a_part_of_the_body_is_found_though_no_word_says_so(built):
    case, *_ = built
    found = titles(case, "left forearm")
    assert found["findings"] == ["3 Abrasion, as drawn"]
    assert found["photographs"] == ["P 2, chest"]
    assert "findings" not in titles(case, "right forearm")
    assert titles(case, "abrasion left forearm")["findings"] == ["3 Abrasion, as drawn"]
    assert "findings" not in titles(case, "laceration left forearm")


@pytest.mark.django_db
def test_what_was_signed_of_a_finding_is_found_beside_the_finding():
    case, vasko, thorne = make_ready(make_people())
    Examination.objects.filter(case=case).update(external="Well nourished, with a harelip.")
    unsigned = titles(case, "finding 1")
    signed(case, vasko, thorne)
    found = titles(case, "finding 1")
    assert found["findings"] == unsigned["findings"] and "report" not in unsigned
    assert len(found["report"]) == 1 and found["report"][0].startswith("Evidence of injury")
    assert len(titles(case, "harelip")["report"]) == 1


def test_numbers_name_what_has_them_and_what_goes_with_it(built):
    case, vasko, _, exhibit = built
    found = titles(case, "P 1")
    assert found["photographs"] == ["P 1, chest"]
    assert found["exhibits"] == [f"Exhibit 7, {exhibit.exhibit_set.title}"]
    assert [title.split()[0] for title in found["findings"]] == ["1"]
    assert "report" not in found, "an unsigned report says of it what the finding says"
    assert titles(case, "exhibit 7") == {"exhibits": found["exhibits"]}
    assert titles(case, "exhibit 8") == {}
    further = Photograph.objects.get(case=case, number=2)
    assert "exhibits" not in titles(case, "P 2")
    compose_exhibit(
        vasko, case_id=case.pk, exhibit_id=exhibit.pk, version=1,
        photographs=[exhibit.photograph_id, further.pk],
    )  # fmt: skip
    for typed in ("P 1", "P 2"):
        assert titles(case, typed)["exhibits"] == found["exhibits"], typed
    void_exhibit_set(
        vasko, case_id=case.pk, set_id=exhibit.exhibit_set_id, version=1, reason="settled"
    )
    assert titles(case, "exhibit 7") == {}
    found = titles(case, "finding 3")
    assert found["findings"] == ["3 Abrasion, as drawn"]
    assert set(found) == {"findings"}
    assert titles(case, "finding 3 drying")["findings"] == ["3 Abrasion, as drawn"]
    assert "findings" not in titles(case, "finding 1 drying")
    assert set(titles(case, "3")) >= {"findings", "items"}


def test_every_hit_leads_to_a_page_that_opens(built):
    case, vasko, *_ = built
    person = as_person(vasko)
    seen = set()
    for typed in ("vasko", "1", "7", "chest", "left forearm", "found"):
        for group in found_in_case(case, read_asked(typed)).groups:
            address = group.hits[0].url.split("#")[0]
            if group.key not in seen:
                assert person.get(address).status_code == 200, (group.key, address)
            seen.add(group.key)
    assert seen >= {"report", "findings", "photographs", "exhibits", "items", "history"}


def test_what_changed_is_found_in_the_history_with_who_and_when(built, monkeypatch):
    case, vasko, *_ = built
    found = found_in_case(case, read_asked("dried"))
    (history,) = [group for group in found.groups if group.key == "history"]
    (hit,) = history.hits
    assert (hit.title, hit.who) == ("recorded a finding", "I. Vasko")
    assert hit.at is not None
    assert "The edges dried" in "".join(piece for piece, _ in hit.pieces)
    page = as_person(vasko).get(hit.url).content.decode()
    assert page.index("The edges dried after death") < page.index("recorded a finding", 1) + 4000
    monkeypatch.setattr("cases.case_search.queries.MOST", 0)
    assert list(found_in_case(case, read_asked("dried")).groups) == [], "cut like any other kind"


def test_who_may_not_know_of_the_case_finds_nothing_and_the_search_leaves_a_trace(built):
    case, vasko, *_ = built
    thorne = make_staff(Role.SUPERVISOR, name="M. Thorne")
    address = reverse("case_search:search", args=[case.pk])
    before = AccessEvent.objects.count()
    page = as_person(vasko).get(address, {"q": "left forearm"})
    text = page.content.decode()
    assert page.status_code == 200
    assert "3 Abrasion, as drawn" in text
    look = AccessEvent.objects.latest("id")
    assert AccessEvent.objects.count() == before + 1
    assert (look.what, look.case_id) == (SEARCH, case.pk)
    assert look.asked == {"words": "left forearm"}
    assert look.rows == page.context["found"].shown > 0
    api = reverse("case_search_api:search", args=[case.pk])
    said = as_person(vasko).get(api, {"q": "exhibit 7"}).json()
    (group,) = said["groups"]
    assert (group["key"], group["count"], group["counted_all"]) == ("exhibits", 1, True)
    assert group["hits"][0]["words"].startswith("Chest of the driver ")
    restrict_case(thorne, case_id=case.pk, version=case.version, reason="Officer involved")
    stranger = as_person(make_staff(Role.INVESTIGATOR))
    for path in (address, api):
        assert stranger.get(path, {"q": "Abrasion"}).status_code == 404
        assert as_person(make_staff(Role.ADMINISTRATOR)).get(path).status_code == 404


def test_what_is_found_of_a_kind_is_cut_and_counted_in_as_many_statements(built):
    case, vasko, *_ = built
    other = make_case(by=vasko)
    counts = []
    for more in (2, MOST + 3):
        for n in range(more):
            shade = 20 + n + 40 * len(counts)
            made = add(vasko, case, picture_bytes(shade), shows="The wharf at Lennow")
            link_to(vasko, made, Finding.objects.get(case=case, number=1))
        add(vasko, other, picture_bytes(200 + len(counts)), shows="The wharf at Lennow")
        with CaptureQueriesContext(connection) as asked:
            found = found_in_case(case, read_asked("wharf lennow"))
        counts.append(len(asked))
    (photographs,) = [group for group in found.groups if group.key == "photographs"]
    assert (photographs.count, len(photographs.hits), photographs.more) == (MOST + 5, MOST, True)
    assert counts[0] == counts[1] <= 45


def test_what_was_typed_is_shown_as_text_and_nothing_is_looked_for_in_nothing(built):
    case, vasko, *_ = built
    address = reverse("case_search:search", args=[case.pk])
    page = as_person(vasko).get(address, {"q": "<script>x</script> & | ! : * '"})
    assert page.status_code == 200
    assert "<script>x" not in page.content.decode()
    assert "&lt;script&gt;x" in page.content.decode()
    with CaptureQueriesContext(connection) as asked:
        assert found_in_case(case, read_asked(" ")).groups == ()
    assert len(asked) == 0


@pytest.mark.django_db
def test_every_word_that_is_recorded_of_a_finding_is_looked_through():
    case, vasko, _ = make_ready(make_people())
    finding = Finding.objects.get(case=case)
    words = {name: f"zebra{n}" for n, name in enumerate(WORDS)}
    Finding.objects.filter(pk=finding.pk).update(**words, timing="healed", length_mm=123)
    who = {"case": case, "finding": finding, "created_by": vasko, "changed_by": vasko}
    LayerFinding.objects.create(layer="galea", examined=True, found="okapi", **who)
    LayerFinding.objects.create(layer="bone", examined=False, found="embalmed", **who)
    Interpretation.objects.create(statement="a tapir", standing="excluded", ground="quagga", **who)
    WoundPath.objects.create(structures="Liver\nLung", ends_as="exit", end_words="dodo", **who)
    Mark.objects.create(
        view="front", kind="point", points=[[0.5, 0.5]], region="forearm_anterior_l", **who
    )
    asked = [
        *words.values(), "galea okapi", "embalmed", "tapir", "excluded quagga", "lung", "dodo",
        "healing", "left forearm",
    ]  # fmt: skip
    assert [one for one in asked if "findings" not in titles(case, one)] == []
    Finding.objects.filter(pk=finding.pk).update(
        voided_at=MOMENT, voided_by=vasko, void_reason="Recorded twice"
    )
    assert [one for one in asked if "findings" in titles(case, one)] == []
