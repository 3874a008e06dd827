"""Addenda and amendments as documents of their own: signed, by two where asked, kept once."""

from __future__ import annotations

import io
import json
from datetime import timedelta
from unittest import mock

import pikepdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.packets import tasks
from cases.packets.signed_addendum import signed_addendum
from cases.review.models import Addendum
from cases.review.rules import ADDED, digest_of
from cases.signatures import second
from cases.signatures.models import SecondSignature, Signature, SignedDocument
from cases.signatures.queries import documents_of, known_by
from cases.signatures.rules import AGREED, code_of
from evidence.store import original_chunks
from evidence.store.models import StoredFile
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from me_office.jobs import sending
from tests.builders import MOMENT, PASSWORD, as_person, make_staff, with_password
from tests.packets.builders import amend, make_clerk, packet_for
from tests.packets.reading import squeezed, text_of, unpacked
from tests.signatures.builders import certificate_for, certificates_of, signers_of
from tests.signatures.making import plainly_checked

pytestmark = pytest.mark.django_db


def add(case, by, text="The blood held alcohol.", **more):
    return amend(case, by, kind="addendum", text=text, why="Toxicology came", **more)


def read(document):
    return b"".join(original_chunks(document.file))


def sign_second(by, addendum, key=None, **more):
    said = {"sha256": digest_of(second.content_of(addendum)), **more}
    return second.sign_second(
        by, case_id=addendum.case_id, record_id=key or new_id(), addendum_id=addendum.pk, **said
    )


def test_an_addendum_is_printed_signed_by_its_author_and_kept_once(signed):
    vasko, _ = signers_of(signed)
    one = add(signed, vasko)
    key = {"addendum_id": str(one.pk)}
    assert [tasks.keep_signed_addendum(**key) for _ in range(2)] == ["made", "made"]
    document = SignedDocument.objects.get(addendum=one)
    pdf = read(document)
    assert [name for name, _ in plainly_checked(pdf)] == ["I. Vasko, MD"]
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        said = opened.open_metadata()
        assert (said["pdfaid:part"], said["pdfuaid:part"]) == ("3", "1")
        attached = json.loads(opened.attachments["signed-text.json"].get_file().read_bytes())
        printed = squeezed(text_of(opened))
    assert attached["text"] == "The blood held alcohol." and attached["number"] == one.number
    assert attached["why"] == "Toxicology came" and attached["kind"] == "addendum"
    assert set(attached) == {
        "kind", "number", "amends", "text", "why", "made_at", "made_by", "rests_on", "passages",
    }  # fmt: skip
    for words in ("The blood held alcohol.", "Toxicology came", f"Code {code_of(one.pk)}"):
        assert squeezed(words) in printed
    (signature,) = document.signatures.all()
    assert (signature.role, signature.statement, signature.level) == ("author", ADDED, "B-B")
    known = known_by(document.code)
    assert (known.kind, known.signatures, list(known.later)) == ("addendum", 1, [])
    assert tasks.keep_signed_addendum(addendum_id=str(new_id())) == "gone"


def test_a_packet_holds_it_and_the_job_asks_for_what_is_missing(signed, tmp_path, monkeypatch):
    vasko, _ = signers_of(signed)
    one = add(signed, vasko)
    assert tasks.keep_signed_report(draft_id=str(signed.report.drafts.get().pk)) == "made"
    sent = []
    monkeypatch.setattr(sending, "send", lambda task, **said: sent.append((task, said)) or True)
    assert tasks.keep_signed_reports() == 1
    assert sent == [(second.KEEP_TASK, {"addendum_id": str(one.pk)})]
    assert tasks.keep_signed_addendum.name == second.KEEP_TASK
    # Of one that is older than a quarter the job asks no more; whoever opens the case still does.
    monkeypatch.setattr(second, "UNASKED_FOR", timedelta(0))
    assert not second.addenda_without_pdf().exists() and second.to_keep(signed.pk) == [one]
    monkeypatch.undo()
    packet = packet_for(signed, make_clerk(), with_photographs=False)
    assert tasks.build_packet(request_id=str(packet.pk)) == "made"
    packet.refresh_from_db()
    there = unpacked(packet, tmp_path) / "data" / "addenda" / "addendum-01.pdf"
    assert there.read_bytes() == read(SignedDocument.objects.get(addendum=one))


def test_where_the_office_asks_another_pathologist_signs_it_first(signed, settings):
    settings.SECOND_SIGNATURE = True
    vasko, thorne = signers_of(signed)
    one = add(signed, vasko)
    assert second.waiting_for_second(signed.pk) == [one]
    assert not second.addenda_without_pdf().exists() and second.to_keep(signed.pk) == []
    with pytest.raises(Refused, match="waits for the signature"):
        signed_addendum(one.pk)
    with pytest.raises(NotAllowed, match="You wrote this"):
        sign_second(vasko, one)
    for role in (Role.SUPERVISOR, Role.RECORDS_CLERK):
        with pytest.raises(NotAllowed):
            sign_second(make_staff(role), one)
    with pytest.raises(Refused, match="not the text that you read"):
        sign_second(thorne, one, sha256="0" * 64)
    with pytest.raises(NotKnown):
        second.sign_second(
            thorne, case_id=signed.pk, record_id=new_id(), addendum_id=new_id(), sha256=""
        )
    key = new_id()
    made = sign_second(thorne, one, key)
    assert sign_second(thorne, one, key) == made
    with pytest.raises(Conflict):
        sign_second(thorne, one, key, sha256="0" * 64)
    with pytest.raises(Refused, match="already"):
        sign_second(thorne, one)
    event = AuditEvent.objects.get(record_id=str(made.pk))
    assert (event.act, event.actor_id) == ("sign_second", thorne.pk)
    assert second.waiting_for_second(signed.pk) == []
    pdf = read(signed_addendum(one.pk))
    assert [name for name, _ in plainly_checked(pdf)] == ["I. Vasko, MD", "M. Thorne, MD"]
    (document,) = documents_of(signed.pk)
    assert [one.statement for one in document.signatures.all()] == [ADDED, AGREED]


def test_nobody_signs_second_where_the_office_does_not_ask(signed):
    vasko, thorne = signers_of(signed)
    with pytest.raises(Refused, match="asks for no second"):
        sign_second(thorne, add(signed, vasko))


def test_the_page_shows_it_whole_and_takes_the_password(signed, settings):
    settings.SECOND_SIGNATURE = True
    vasko, _ = signers_of(signed)
    one = add(signed, vasko)
    amadi = with_password(make_staff(Role.PATHOLOGIST, name="N. Amadi"))
    certificate_for(amadi)
    browser = as_person(amadi)
    documents = reverse("signatures:documents", args=[signed.pk])
    page = reverse("signatures:sign-second", args=[signed.pk, one.pk])
    addenda = browser.get(reverse("review:addenda", args=[signed.pk])).content.decode()
    assert "PDF is made once a second pathologist has signed it" in addenda
    assert page in browser.get(documents).content.decode()
    assert page in browser.get("/").content.decode()
    assert page not in as_person(vasko).get("/").content.decode()
    assert page not in as_person(vasko).get(documents).content.decode()
    shown = browser.get(page).content.decode()
    assert "The blood held alcohol." in shown and AGREED in shown
    said = {
        "sha256": digest_of(second.content_of(one)), "own_password": "wrong",
        "record_id": new_id(), "version": 0,
    }  # fmt: skip
    assert browser.post(page, said).status_code == 422
    assert not SecondSignature.objects.exists()
    assert browser.post(page, {**said, "own_password": PASSWORD}).status_code == 302
    assert SecondSignature.objects.get(addendum=one).signed_by == amadi
    assert browser.get(page).status_code == 404


def test_an_amendment_says_how_each_passage_reads_now(signed):
    from cases.review import amending

    vasko, _ = signers_of(signed)
    one = amending.amend_record(
        vasko, case_id=signed.pk, record_id=new_id(), what="cause-and-manner", version=1,
        entry={"manner": "homicide"}, reason="Toxicology",
    )  # fmt: skip
    with mock.patch("cases.signatures.keeping.actions.office_list", return_value=None):
        document = signed_addendum(one.pk)
    with pikepdf.open(io.BytesIO(read(document))) as opened:
        printed = squeezed(text_of(opened))
    assert squeezed("Amendment 1") in printed and squeezed("Now: homicide.") in printed
    assert known_by(document.sha256).kind == "amendment"


def test_the_page_takes_as_many_statements_for_sixty_documents_as_for_three(signed):
    vasko, thorne = signers_of(signed)
    by, file = {"created_by": vasko, "changed_by": vasko}, StoredFile.objects.first()
    held, browser, counts = certificates_of(signed), as_person(thorne), []
    for first, more in ((1, 3), (4, 57)):
        added = Addendum.objects.bulk_create(
            Addendum(case=signed, number=n, kind="addendum", text="More.", why="Late",
                     made_at=MOMENT, made_by=vasko, **by)
            for n in range(first, first + more)
        )  # fmt: skip
        documents = SignedDocument.objects.bulk_create(
            SignedDocument(case=signed, addendum=one, file=file, sha256=file.sha256,
                           code=code_of(one.pk), pages=1, **by)
            for one in added
        )  # fmt: skip
        Signature.objects.bulk_create(
            Signature(case=signed, document=one, order=n, role=("author", "second")[n],
                      signer=certificate.person, certificate=certificate, acted_at=MOMENT,
                      put_at=MOMENT, level="B-B", signed_as="I. Vasko, MD", **by)
            for one in documents for n, certificate in enumerate(held)
        )  # fmt: skip
        with CaptureQueriesContext(connection) as asked:
            page = browser.get(reverse("signatures:documents", args=[signed.pk])).content.decode()
        counts.append(len(asked))
    assert counts[0] == counts[1] and "Addendum 60" in page
