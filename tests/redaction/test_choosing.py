"""What is hidden in a document: chosen by words or area, for a reason, by several at once."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from cases.redaction import actions, preparing, queries
from cases.redaction.models import DocumentRedaction, RedactionMark
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case
from tests.redaction.builders import (
    add_document,
    ask_for_copy,
    cover,
    hide,
    letter_pdf,
    make_reason,
    source_of,
)

pytestmark = pytest.mark.django_db


def test_words_and_areas_are_marked_each_with_its_reason(clerk, letter, why):
    assert letter.pages == 2
    by_words = hide(clerk, letter, "Marla Quince", why)
    area = cover(clerk, letter, 2, [1000, 800, 3000, 1500], make_reason(clerk, "7b"))
    assert [(one.page, one.words, one.why.number) for one in by_words] == [
        (1, "Marla Quince", "3"),
        (2, "Marla Quince", "3"),
    ]
    assert (area.kind, area.words, area.first) == ("area", "", None)
    read = queries.document_of(letter.case, letter.pk)
    assert len(read.standing_marks) == 3
    acts = AuditEvent.objects.filter(table="redaction_redactionmark").values_list("act", flat=True)
    assert set(acts) == {"mark_for_redaction"}


def test_what_words_say_is_read_from_the_document_and_not_believed(clerk, letter, why):
    said = {"id": new_id(), "page": 1, "first": 0, "last": 3, "words": "other", "boxes": [[0] * 4]}
    (mark,) = preparing.mark(
        clerk, case_id=letter.case_id, document_id=letter.pk, entries=[said], why=why.pk
    )
    assert mark.words == "Note" and mark.boxes[0][2] > 1000
    for place in ({"first": 3, "last": 1}, {"first": 0, "last": 90_000}, {"first": -2, "last": 1}):
        with pytest.raises(Refused, match="not on the page"):
            preparing.mark(
                clerk, case_id=letter.case_id, document_id=letter.pk, why=why.pk,
                entries=[{**said, **place, "id": new_id()}],
            )  # fmt: skip


def test_the_same_request_twice_marks_once_and_another_content_is_a_conflict(clerk, letter, why):
    key = new_id()

    def send(page: int) -> RedactionMark:
        entry = {"id": key, "page": page, "boxes": [[10, 10, 900, 900]]}
        (made,) = preparing.mark(
            clerk, case_id=letter.case_id, document_id=letter.pk, entries=[entry], why=why.pk
        )
        return made

    assert send(1) == send(1)
    assert RedactionMark.objects.count() == 1
    with pytest.raises(Conflict):
        send(2)


@pytest.mark.parametrize(
    "entry",
    [
        {"page": 3, "boxes": [[0, 0, 900, 900]]},
        {"page": 0, "boxes": [[0, 0, 900, 900]]},
        {"page": 1, "boxes": [[0, 0, 5, 900]]},
        {"page": 1, "boxes": [[0, 0, 10_001, 900]]},
        {"page": 1, "boxes": [[0, 0, 900]]},
        {"page": 1, "boxes": []},
        {"page": 1},
    ],
)
def test_a_place_that_cannot_be_hidden_is_refused_beside_the_marks(clerk, letter, why, entry):
    with pytest.raises(Refused) as refused:
        preparing.mark(
            clerk, case_id=letter.case_id, document_id=letter.pk, why=why.pk,
            entries=[{**entry, "id": new_id()}],
        )  # fmt: skip
    assert refused.value.field == "marks"


def test_marks_are_taken_back_and_given_another_reason(clerk, vasko, letter, why):
    first, second = hide(clerk, letter, "Marla Quince", why)
    other = make_reason(clerk, "9")
    changed = actions.change_redaction_mark(
        vasko, case_id=letter.case_id, mark_id=first.pk, version=1, why_id=other.pk
    )
    assert (changed.why.number, changed.version) == ("9", 2)
    again = {"case_id": letter.case_id, "mark_id": first.pk}
    with pytest.raises(StaleRecord):
        actions.change_redaction_mark(clerk, **again, version=1, why_id=why.pk)
    actions.void_redaction_reason(clerk, reason_id=why.pk, version=1, reason="Not used")
    with pytest.raises(Refused, match="withdrawn from the list"):
        actions.change_redaction_mark(clerk, **again, version=2, why_id=why.pk)
    back = {"case_id": letter.case_id, "document_id": letter.pk, "reason": "Taken back"}
    with pytest.raises(StaleRecord):
        actions.void_redaction_marks(clerk, marks={first.pk: 1, second.pk: 1}, **back)
    assert queries.count_of_marks(letter) == 2
    actions.void_redaction_marks(clerk, marks={first.pk: 2, second.pk: 1}, **back)
    assert queries.count_of_marks(letter) == 0
    with pytest.raises(NotKnown):
        actions.void_redaction_marks(clerk, marks={new_id(): 1}, **back)


def test_who_may_not_redact_is_refused_and_another_case_is_not_known(
    clerk, renn, letter, why, vasko
):
    entry = {"id": new_id(), "page": 1, "boxes": [[10, 10, 900, 900]]}
    with pytest.raises(NotAllowed):
        preparing.mark(
            renn, case_id=letter.case_id, document_id=letter.pk, entries=[entry], why=why.pk
        )
    with pytest.raises(NotKnown):
        preparing.mark(
            clerk, case_id=make_case(by=vasko).pk, document_id=letter.pk, entries=[entry],
            why=why.pk,
        )  # fmt: skip
    with pytest.raises(NotAllowed):
        make_reason(vasko, "8")


def test_a_document_is_opened_once_for_all_and_once_for_a_request(clerk, letter):
    source = source_of(letter)
    again = actions.open_document_redaction(
        clerk, case_id=letter.case_id, record_id=new_id(), source=source, pages=2
    )
    assert again.pk == letter.pk and DocumentRedaction.objects.count() == 1


def test_a_reason_is_corrected_with_a_reason_and_its_code_is_given_once(clerk, why):
    with pytest.raises(Invalid):
        make_reason(clerk, "3")
    changed = actions.change_redaction_reason(
        clerk, reason_id=why.pk, version=1, entry={"words": "Name of a bystander"}, reason="Clearer"
    )
    assert changed.words == "Name of a bystander"
    make_reason(clerk, "10")
    make_reason(clerk, "2")
    assert [one.number for one in queries.reasons()] == ["2", "3", "10"]
    gone = actions.void_redaction_reason(clerk, reason_id=why.pk, version=2, reason="Not used")
    assert gone.is_voided and len(queries.reasons()) == 2


def test_a_withdrawn_reason_marks_nothing_more(clerk, letter, why):
    actions.void_redaction_reason(clerk, reason_id=why.pk, version=1, reason="Not used")
    with pytest.raises(Refused, match="withdrawn"):
        cover(clerk, letter, 1, [10, 10, 900, 900], why)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "cannot be read"),
        (b"not a document", "cannot be read"),
        (b"%PDF-1.7\nnothing", "cannot be read"),
    ],
)
def test_a_file_that_is_no_pdf_is_refused_beside_its_field(clerk, case, content, said):
    with pytest.raises(Refused, match=said) as refused:
        add_document(clerk, case, content or b" ")
    assert refused.value.field == "upload"


def test_a_document_waits_until_its_marks_are_in_a_copy(clerk, letter, why):
    source = source_of(letter)
    assert queries.copies_of([source]) == {}
    assert queries.stale([source]) == {source: queries.NO_MARKS}
    hide(clerk, letter, "Alder Lane", why)
    assert queries.stale([source]) == {source: queries.NOT_ASKED}
    asked = ask_for_copy(clerk, letter)
    assert queries.stale([source]) == {source: queries.UNDER_WAY_WORDS}
    with pytest.raises(Refused, match="being made"):
        ask_for_copy(clerk, letter)
    with pytest.raises(Refused, match="changed the marks"):
        ask_for_copy(clerk, letter, choice_sha256="0" * 64)
    assert asked.marks[0]["words"] == "Alder Lane" and asked.marks[0]["number"] == "3"


def test_other_rooms_ask_the_same_number_of_statements_for_3_documents_and_for_15(clerk, case, why):
    counts = []
    for more in (3, 12):
        for number in range(more):
            made = add_document(clerk, case, letter_pdf(f"Page of Quince {more} {number}"))
            hide(clerk, made, "Quince", why)
        sources = [source_of(made), *queries_sources(case)]
        with CaptureQueriesContext(connection) as asked:
            queries.copies_of(sources)
        counts.append(len(asked))
    assert counts[0] == counts[1] == 3


def queries_sources(case):
    from cases.redaction.sources import sources_in

    return sources_in(case)
