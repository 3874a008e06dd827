"""The signed report carries digital signatures of its signers: kept once and sent as it is."""

from __future__ import annotations

import hashlib
import io
from datetime import UTC, datetime

import pikepdf
import pytest
from django.db import transaction
from django.urls import reverse

from cases.packets import tasks
from cases.packets.material import as_signed, material_of, signed_bytes
from cases.packets.printing import print_report
from cases.packets.signed_report import signed_report
from cases.review.rules import REVIEWED
from cases.signatures import actions, sealing
from cases.signatures.checking import NOT_THERE, WHEN_PUT_ON, check_document
from cases.signatures.models import Certificate, Signature, SignedDocument, SigningKey
from cases.signatures.queries import documents_of
from cases.signatures.rules import AGREED, code_of
from me_office.accounts.roles import Role
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_staff
from tests.packets.builders import altered, make_clerk, packet_for
from tests.packets.numbered import bytes_of
from tests.packets.reading import _page_text, squeezed, text_of, unpacked
from tests.signatures.builders import make_administrator
from tests.signatures.making import plainly_checked

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def _kept_once(made_once, _signed_once):
    return made_once(lambda: signed_report(_signed_once.pk))


@pytest.fixture
def kept(db, _kept_once):
    """The kept PDF of `signed`."""
    return _kept_once


def test_author_and_reviewer_sign_what_is_printed_and_the_report_names_them(kept, signed):
    pdf = bytes_of(kept)
    (author, _), (reviewer, covers) = plainly_checked(pdf)
    assert (author, reviewer) == ("I. Vasko, MD", "M. Thorne, MD")
    assert covers == len(pdf)
    document = SignedDocument.objects.get(report=kept)
    assert (document.sha256, document.pages) == (kept.file.sha256, kept.pages)
    first, second = document.signatures.select_related("certificate")
    draft = signed.report.drafts.get()
    assert (first.role, first.signed_as, first.statement) == (
        "author", "I. Vasko, MD", draft.statement,
    )  # fmt: skip
    assert (second.role, second.acted_at) == ("reviewer", draft.decision.decided_at)
    assert second.statement == REVIEWED != AGREED
    assert {first.level, second.level} == {"B-B"} and first.put_at is not None
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        attached = opened.attachments["signed-text.json"].get_file().read_bytes()
        assert hashlib.sha256(attached).hexdigest() == draft.sha256
        assert attached == signed_bytes(draft.content)
        said = opened.open_metadata()
        assert (said["pdfaid:part"], said["pdfuaid:part"]) == ("3", "1")
        printed = squeezed(text_of(opened))
        last = opened.Root.AcroForm.Fields[1].V
        assert (last.Name, last.Reason) == ("M. Thorne, MD", REVIEWED)
        pages = [squeezed(_page_text(page)) for page in opened.pages]
    assert document.code == code_of(draft.pk)
    assert all(squeezed(f"Code {document.code}") in page for page in pages)
    for one in (first, second):
        assert squeezed(f"certificate {one.certificate.serial}") in printed
    assert squeezed("carries no digital signature") not in printed
    # Made again it would be the same page by page: the signatures come behind what is printed.
    again = print_report(as_signed(material_of(signed.pk)), with_photographs=False, sent=())
    assert pdf.startswith(again.pdf)


def test_it_is_kept_once_and_goes_out_as_it_is_with_how_to_check_it(kept, signed, tmp_path):
    assert signed_report(signed.pk) == kept
    assert Signature.objects.filter(case=signed).count() == 2
    packet = packet_for(signed, make_clerk(), with_photographs=False)
    assert tasks.build_packet(request_id=str(packet.pk)) == "made"
    packet.refresh_from_db()
    data = unpacked(packet, tmp_path) / "data"
    sent = (data / "signed-report.pdf").read_bytes()
    assert len(plainly_checked(sent)) == 2
    readme = (data / "README.txt").read_text()
    document = SignedDocument.objects.get(report=kept)
    assert document.code in readme and "office-root.pem" in readme
    root = (data / "signatures" / "office-root.pem").read_text()
    assert root == Certificate.objects.get(kind="authority").pem
    assert "PRIVATE KEY" not in "".join(
        path.read_text(errors="replace") for path in data.rglob("*") if path.is_file()
    )


def test_a_key_is_kept_sealed_and_stands_in_no_trail(kept, settings):
    for held in SigningKey.objects.all():
        opened = actions.key_of(held.certificate)
        assert opened not in bytes(held.sealed) and len(bytes(held.sealed)) > len(opened)
        with pytest.raises(sealing.CannotOpen):
            sealing.unseal(held.certificate.created_by_id, bytes(held.sealed))
    assert not AuditEvent.objects.filter(table="signatures_signingkey").exists()
    told = AuditEvent.objects.filter(table="signatures_certificate").values_list(
        "changes", flat=True
    )
    assert told and not any("PRIVATE" in str(one) for one in told)
    one = SigningKey.objects.first().certificate
    settings.SIGNING_SECRET = "another secret of the office"
    with pytest.raises(sealing.CannotOpen, match="another signing secret"):
        actions.key_of(one)
    settings.SIGNING_SECRET = ""
    with pytest.raises(sealing.CannotOpen, match="ME_SIGNING_SECRET"):
        actions.key_of(one)


def test_the_page_and_the_api_show_them_and_a_check_finds_a_changed_byte(kept, signed):
    person = as_person(make_staff(Role.INVESTIGATOR))
    page = reverse("signatures:documents", args=[signed.pk])
    (document,) = documents_of(signed.pk)
    shown = person.get(page).content.decode()
    assert document.code in shown and "valid when kept" in shown and document.sha256 in shown
    assert "<li>Author: Valid.</li>" in person.get(f"{page}?check={document.pk}").content.decode()
    ended = datetime(2026, 3, 5, 15, tzinfo=UTC)
    with transaction.atomic():
        Certificate.objects.update(not_after=ended)
        asked = [one.says for one in check_document(documents_of(signed.pk)[0])]
        assert asked == [f"{WHEN_PUT_ON} The certificate ended on 5 March 2026."] * 2
        transaction.set_rollback(True)
    with altered(document.file):
        asked = person.get(f"{page}?check={document.pk}").content.decode()
        assert asked.count(NOT_THERE) == 2
    (told,) = person.get(f"/api/cases/{signed.pk}/signed-documents/").json()
    assert (told["what"], told["code"], told["sha256"]) == (
        "Report", document.code, kept.file.sha256,
    )  # fmt: skip
    assert [one["level"] for one in told["signatures"]] == ["B-B", "B-B"]
    assert b"".join(person.get(told["file"]).streaming_content) == bytes_of(kept)
    stranger = as_person(make_administrator())
    assert {stranger.get(one).status_code for one in (page, told["file"])} == {404}
    assert stranger.get(f"/api/cases/{signed.pk}/signed-documents/").status_code == 404
