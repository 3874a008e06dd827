"""Pages and API of earlier statements."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.statements import actions
from cases.statements.models import PassageLink, Statement, StatementPassage
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from tests.builders import as_person, make_case, make_staff
from tests.evidence.pictures import add, make_finding, picture_bytes
from tests.statements.builders import (
    TRANSCRIPT,
    add_pdf,
    add_text,
    mark,
    picture_pdf,
    statement_entry,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def bruise(vasko, case):
    return make_finding(case, vasko, number=4, length_mm=110, place="right chest wall")


def at(name: str, case, **keys) -> str:
    return reverse(f"statements:{name}", kwargs={"case_id": case.pk, **keys})


def typed(**fields) -> dict[str, object]:
    keys = {"record_id": new_id(), "request_key": new_id()}
    return {**statement_entry(given_on="2026-11-02"), **keys, **fields}


def test_a_statement_is_pasted_read_marked_and_read_beside_the_record(
    signed_in, vasko, case, bruise
):
    add(vasko, case, picture_bytes(2))
    answer = signed_in.post(at("add", case), typed(text=TRANSCRIPT))
    made = Statement.objects.get()
    assert answer.url == at("statement", case, statement_id=made.pk)
    assert "Deposition 2 Nov 2026" in signed_in.get(at("statements", case)).content.decode()
    page = at("page", case, statement_id=made.pk, number=31)
    lines = {"lines": "31:1-2", "findings": [str(bruise.pk)], "photographs": "P-1",
             "topics": "Size; Chest", "record_id": new_id(), "request_key": new_id()}  # fmt: skip
    assert signed_in.post(page, lines).url == f"{page}#l-1"
    assert {link.words for link in PassageLink.objects.all()} == {
        "finding 4", "photograph 1", "Size", "Chest",
    }  # fmt: skip
    shown = signed_in.get(page).content.decode()
    assert "A. About ten centimeters." in shown
    assert "Line numbers as printed on the page." in shown
    beside = signed_in.get(at("compare", case)).content.decode()
    assert "Said: “About ten centimeters” (read as 9.5 to 10.5 cm)." in beside
    assert "In the record: length 11.0 cm." in beside
    assert "No report has been sent to review." in beside
    passage = StatementPassage.objects.get()
    edit = at("passage", case, passage_id=passage.pk)
    assert "Chest; Size" in signed_in.get(edit).content.decode()
    about = {"topics": "Size", "version": 1, "request_key": new_id()}
    assert signed_in.post(edit, about).status_code == 302
    assert signed_in.post(edit, {**about, "request_key": new_id()}).status_code == 409
    gone = {"reason": "Wrong lines", "version": 2, "request_key": new_id()}
    assert signed_in.post(at("withdraw-passage", case, passage_id=passage.pk), gone).url
    assert StatementPassage.objects.active().count() == 0


WRONG = [
    ({"lines": "31"}, "This names no lines."),
    ({"lines": "31:9"}, "There is no line 31:9."),
    ({"photographs": "7"}, "There is no photograph 7 in this case."),
    ({"photographs": "seven"}, "“seven” is no number of a photograph."),
    ({"topics": " "}, "Say what these lines are about."),
]


def test_what_is_wrong_stands_beside_its_field(signed_in, vasko, case):
    made = add_text(vasko, case)
    page = at("page", case, statement_id=made.pk, number=31)
    for fields, why in WRONG:
        sent = {"lines": "31:2", "topics": "Size", "record_id": new_id(), "request_key": new_id()}
        answer = signed_in.post(page, {**sent, **fields})
        assert answer.status_code == 422, fields
        assert why in answer.content.decode(), fields
    for fields, why in (
        ({}, "Choose a PDF or paste the text"),
        ({"text": "words", "kind": "trial"}, "Testimony names its court."),
        ({"text": "words", "given_on": "2099-01-01"}, "This date is in the future."),
        ({"text": "Page 2\na\nPage 1\nb"}, "Page 1 comes after page 2."),
    ):
        answer = signed_in.post(at("add", case), typed(**fields))
        assert (answer.status_code, why in answer.content.decode()) == (422, True), fields
    assert Statement.objects.count() == 1


def test_a_pdf_is_said_to_be_read_not_made_and_one_that_was_not_is_dismissed(
    signed_in, vasko, case
):
    sent = add_pdf(vasko, case, picture_pdf())
    page = at("statements", case)
    waits = signed_in.get(page).content.decode()
    assert f'aria-label="{sent.label} is being read"' in waits and "Try again" not in waits
    actions.begin_statement_reading(vasko, request_id=sent.pk)
    sent = actions.fail_statement_reading(
        vasko, request_id=sent.pk, attempt=1, failure="There is no text in this file."
    )
    failed = signed_in.get(page).content.decode()
    assert f'<strong class="stop">Not read.</strong> {sent.failure}' in failed
    retry = at("retry", case, statement_id=sent.pk)
    assert f'action="{retry}"' in failed
    signed_in.post(retry, {"version": sent.version, "request_key": new_id(), "act": "leave"})
    assert not Statement.objects.active().exists()


def test_pages_are_turned_and_the_file_is_fetched_as_it_came(signed_in, vasko, case):
    made = add_text(vasko, case)
    keys = {"statement_id": made.pk}
    first = signed_in.get(at("statement", case, **keys)).content.decode()
    assert 'rel="next"' in first
    assert 'rel="prev"' not in first
    last = signed_in.get(at("statement", case, **keys), {"page": "32"}).content.decode()
    assert 'rel="prev"' in last
    assert 'rel="next"' not in last
    assert signed_in.get(at("page", case, **keys, number=33)).status_code == 404
    answer = signed_in.get(at("file", case, **keys))
    assert b"".join(answer.streaming_content) == TRANSCRIPT.encode()
    assert AccessEvent.objects.latest("id").what == "statement"
    sent = {"speaker": "Dr. A. Lowe", "version": 1, "request_key": new_id()}
    assert signed_in.post(at("change", case, **keys), typed(**sent)).status_code == 302
    assert Statement.objects.get().speaker == "Dr. A. Lowe"


def test_who_may_only_see_reads_and_is_offered_nothing(vasko, case):
    made = add_text(vasko, case)
    quill = as_person(make_staff(Role.INVESTIGATOR))
    page = at("page", case, statement_id=made.pk, number=31)
    shown = quill.get(page).content.decode()
    assert "A. About ten centimeters." in shown
    assert "Mark lines" not in shown
    assert quill.post(page, {"lines": "31:2", "topics": "x"}).status_code == 403
    assert quill.get(at("add", case)).status_code == 403
    restricted = make_case(by=vasko, restricted=True)
    assert quill.get(at("statements", restricted)).status_code == 404


def test_a_page_takes_the_same_statements_for_more_passages(signed_in, vasko, case, bruise):
    made, counts = add_text(vasko, case), []
    for more in (3, 17):
        for _ in range(more):
            mark(vasko, made, (31, 1, 31, 2), findings=[bruise.pk])
        with CaptureQueriesContext(connection) as asked:
            signed_in.get(at("page", case, statement_id=made.pk, number=31))
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_the_api_does_the_same(api, case, bruise):
    root = f"/api/cases/{case.pk}/statements/"
    entry = {**statement_entry(given_on="2026-11-02"), "id": str(new_id()), "text": TRANSCRIPT}
    made = api.post(root, entry, content_type="application/json")
    assert (made.status_code, made.json()["pages_read"]) == (201, 2)
    one = f"{root}{entry['id']}/"
    assert api.get(f"{one}pages/32/").json()["lines"][1] == [2, "A. Two blows, I would say."]
    lines = {"id": str(new_id()), "from_page": 31, "from_line": 2, "to_page": 31, "to_line": 2}
    marked = api.post(
        f"{one}passages/", {**lines, "findings": [str(bruise.pk)]}, content_type="application/json"
    )
    assert marked.status_code == 201
    assert marked.json()["words"] == "A. About ten centimeters."
    assert marked.json()["links"][0]["finding"] == str(bruise.pk)
    assert api.get(f"{one}passages/").json()[0]["id"] == lines["id"]
    passage = f"/api/cases/{case.pk}/statement-passages/{lines['id']}/"
    linked = api.put(passage, {"version": 1, "topics": ["Size"]}, content_type="application/json")
    assert [link["topic"] for link in linked.json()["links"]] == ["Size"]
    stale = api.put(passage, {"version": 1, "topics": ["Side"]}, content_type="application/json")
    assert stale.status_code == 409
    gone = api.post(
        f"{one}withdraw/", {"version": 1, "reason": "x"}, content_type="application/json"
    )
    assert gone.json()["voided_at"]
    assert api.get(root).json() == []
