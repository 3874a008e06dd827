"""A copy is asked for, made by a worker, looked through, and goes out only as long as it fits."""

from __future__ import annotations

import io
from dataclasses import replace

import pypdf
import pytest
from django.urls import reverse

from cases.redaction import actions, queries, tasks
from cases.redaction.models import RedactedDocument
from evidence import store
from me_office.audit.errors import Conflict, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.redaction.builders import ask_for_copy, cover, hide, make_reason, source_of

pytestmark = pytest.mark.django_db(transaction=True)


def made(asked: RedactedDocument) -> RedactedDocument:
    tasks.make_redacted_document(request_id=str(asked.pk))
    return RedactedDocument.objects.select_related("file").get(pk=asked.pk)


def text_of(copy: RedactedDocument) -> str:
    with store.open_stored(copy.file) as file:
        reader = pypdf.PdfReader(io.BytesIO(file.read()))
    return " ".join(page.extract_text() for page in reader.pages)


def test_a_copy_is_made_once_and_goes_out_until_the_marks_change(clerk, letter, why):
    source = source_of(letter)
    hide(clerk, letter, "Marla", why)
    copy = made(ask_for_copy(clerk, letter))
    assert (copy.state, copy.pages, copy.failure) == ("made", 2, "")
    assert "Marla" not in text_of(copy) and "heard a fall" in text_of(copy)
    burned = queries.copies_of([source])[source]
    assert (burned.sha256, burned.pages, burned.redactions) == (copy.file.sha256, 2, 3)
    assert burned.codes == (("3", "Name of a private person", ""),)
    assert queries.stale([source]) == {}
    # Of bytes that are others by now it is no copy.
    later = replace(source, sha256="0" * 64)
    assert (queries.copies_of([later]), queries.stale([later])) == ({}, {later: queries.CHANGED})
    assert store.is_whole(copy.file)
    # The job again makes nothing twice; the same choice gives the same bytes.
    tasks.make_redacted_document(request_id=str(copy.pk))
    again = made(ask_for_copy(clerk, letter))
    assert again.file_id == copy.file_id and again.pk != copy.pk
    area = cover(clerk, letter, 1, [1000, 2000, 3000, 2500], why)
    assert queries.stale([source]) == {source: queries.MARKED_SINCE}
    actions.void_redaction_marks(
        clerk, case_id=letter.case_id, document_id=letter.pk, marks={area.pk: 1}, reason="No"
    )
    assert queries.copies_of([source])[source].sha256 == copy.file.sha256
    acts = set(AuditEvent.objects.filter(record_id=str(copy.pk)).values_list("act", flat=True))
    assert acts == {
        "request_redacted_document", "begin_redacted_document", "finish_redacted_document",
    }  # fmt: skip


def test_a_copy_that_was_made_in_an_earlier_way_goes_out_no_more(clerk, letter, why, client):
    source = source_of(letter)
    hide(clerk, letter, "Marla", why)
    copy = made(ask_for_copy(clerk, letter))
    assert copy.software.startswith("document redaction ")
    RedactedDocument.objects.filter(pk=copy.pk).update(software="document redaction 0, PDFium 1")
    assert queries.copies_of([source]) == {}
    assert queries.stale([source]) == {source: queries.EARLIER_WAY}
    client.force_login(clerk)
    page = reverse("redaction:document", args=[letter.case_id, letter.pk])
    said = client.get(page).content.decode()
    assert "Made in an earlier way." in said and "goes out in place" not in said
    made(ask_for_copy(clerk, letter))
    assert queries.stale([source]) == {}


def test_hidden_words_that_are_left_elsewhere_wait_for_a_person(clerk, renn, letter, why):
    source = source_of(letter)
    hide(clerk, letter, "Marla Quince", why, page=1)
    copy = made(ask_for_copy(clerk, letter))
    assert copy.is_made and not copy.may_go_out
    assert {"page": 2, "times": 1, "words": "Marla Quince"} in copy.elsewhere
    assert queries.copies_of([source]) == {}
    assert queries.stale([source]) == {source: queries.WAITS}
    left = {"case_id": letter.case_id, "copy_id": copy.pk}
    with pytest.raises(NotAllowed):
        actions.leave_words_elsewhere(renn, version=copy.version, reason="Signature", **left)
    with pytest.raises(StaleRecord):
        actions.leave_words_elsewhere(clerk, version=1, reason="Signature", **left)
    with pytest.raises(Refused):
        actions.leave_words_elsewhere(clerk, version=copy.version, reason=" ", **left)
    said = actions.leave_words_elsewhere(
        clerk, version=copy.version, reason="The signature stays", **left
    )
    assert said.may_go_out and said.left_by == clerk
    assert source in queries.copies_of([source])
    with pytest.raises(Refused, match="waits for a decision"):
        actions.leave_words_elsewhere(clerk, version=said.version, reason="Again", **left)


def test_asked_twice_by_one_key_it_is_one_copy_and_other_marks_are_a_conflict(clerk, letter, why):
    hide(clerk, letter, "Alder Lane", why)
    seen = queries.choice_of(queries.document_of(letter.case, letter.pk))
    key = new_id()
    once = ask_for_copy(clerk, letter, record_id=key, choice_sha256=seen)
    assert ask_for_copy(clerk, letter, record_id=key, choice_sha256=seen).pk == once.pk
    with pytest.raises(Conflict):
        ask_for_copy(clerk, letter, record_id=key, choice_sha256="1" * 64)
    assert RedactedDocument.objects.count() == 1


def test_a_document_that_was_withdrawn_gets_no_copy_and_one_that_fails_is_tried_again(
    clerk, letter, why, monkeypatch
):
    hide(clerk, letter, "Alder Lane", why)
    asked = ask_for_copy(clerk, letter)
    from cases.redaction import reading

    with monkeypatch.context() as patch:
        patch.setattr(reading.store, "is_whole", lambda file: False)
        failed = made(asked)
    assert failed.state == "failed" and "no longer has its digest" in failed.failure
    assert queries.stale([source_of(letter)]) == {source_of(letter): queries.NOT_MADE}
    again = actions.retry_redacted_document(
        clerk, case_id=letter.case_id, request_id=failed.pk, version=failed.version
    )
    actions.void_document_redaction(
        clerk, case_id=letter.case_id, document_id=letter.pk, version=1, reason="Not sent"
    )
    assert again.state == "waiting"
    gone = made(again)
    assert (gone.state, gone.file) == ("failed", None)
    with pytest.raises(Refused):
        cover(clerk, letter, 1, [1000, 2000, 3000, 2500], why)


def test_a_copy_that_was_made_from_other_bytes_is_not_kept(clerk, letter, why):
    hide(clerk, letter, "Alder Lane", why)
    asked = ask_for_copy(clerk, letter)
    begun = actions.begin_redacted_document(clerk, request_id=asked.pk)
    of_another = actions.Made(None, 2, {}, [], "x", source_sha256="0" * 64)
    with pytest.raises(Refused, match="not made from this document"):
        actions.finish_redacted_document(
            clerk, request_id=asked.pk, attempt=begun.attempts, made=of_another
        )


def test_a_redaction_for_a_request_comes_before_one_that_holds_for_all(clerk, letter, why):
    from tests.packets.builders import make_request

    request = make_request(letter.case, clerk)
    source = source_of(letter)
    own = actions.open_document_redaction(
        clerk, case_id=letter.case_id, record_id=new_id(), source=source, pages=2, request=request
    )
    hide(clerk, letter, "Alder Lane", why)
    made(ask_for_copy(clerk, letter))
    assert queries.copies_of([source])[source].redactions == 1
    assert queries.stale([source], request=request) == {source: queries.NO_MARKS}
    hide(clerk, own, "Alder", make_reason(clerk, "9"))
    hide(clerk, own, "sister", why)
    made(ask_for_copy(clerk, own))
    assert queries.copies_of([source], request=request)[source].document_id == own.pk
    assert queries.copies_of([source])[source].document_id == letter.pk
