"""Who signs where a certificate, the signing secret or the time stamp is missing."""

from __future__ import annotations

import io
import sys
from datetime import timedelta

import pikepdf
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from cases.packets import tasks
from cases.packets.signed_report import signed_report
from cases.review.models import SignedPdf
from cases.signatures import actions, keeping
from cases.signatures.checking import check_document
from cases.signatures.models import Certificate, Signature
from cases.signatures.queries import document_of_report, known_by
from evidence.store.models import StoredFile
from me_office.audit.ids import new_id
from me_office.jobs.models import JobProgress
from tests.packets.numbered import bytes_of
from tests.packets.reading import squeezed, text_of
from tests.signatures.builders import certificates_of, make_administrator
from tests.signatures.making import plainly_checked
from tests.signatures.test_pades import Stamps

pytestmark = pytest.mark.django_db


def revoke(one):
    birch = make_administrator()
    actions.revoke_certificate(birch, certificate_id=one.pk, version=1, reason="Lost")


def test_without_certificates_it_is_kept_as_ever_and_says_so(signed):
    for one in Certificate.objects.filter(kind="person"):
        revoke(one)
    kept = signed_report(signed.pk)
    pdf = bytes_of(kept)
    document = document_of_report(kept)
    assert plainly_checked(pdf) == [] and not document.signatures.exclude(level="").exists()
    assert [one.says for one in check_document(document)] == ["Not digitally signed."] * 2
    with pikepdf.open(io.BytesIO(pdf)) as opened:
        printed = squeezed(text_of(opened))
    assert squeezed("This document carries no digital signature.") in printed
    assert printed.count(squeezed("Not digitally signed")) == 2


def test_whose_certificate_is_gone_is_named_and_the_other_signs(signed):
    author, reviewer = certificates_of(signed)
    revoke(author)
    kept = signed_report(signed.pk)
    assert [name for name, _ in plainly_checked(bytes_of(kept))] == ["M. Thorne, MD"]
    levels = document_of_report(kept).signatures.values_list("role", "level")
    assert list(levels) == [("author", ""), ("reviewer", "B-B")]
    assert known_by(document_of_report(kept).code).signatures == 1
    # What signed before goes on being valid, and that its certificate was revoked is told.
    revoke(reviewer)
    _, found = check_document(document_of_report(kept))
    assert found.is_valid and "revoked on" in found.says


def test_a_certificate_that_is_revoked_meanwhile_signs_nothing(signed, monkeypatch):
    author, _ = certificates_of(signed)
    plain = keeping.put_signatures

    def revoked_then(pdf, plan):
        made = plain(pdf, plan)
        revoke(author)
        return made

    monkeypatch.setattr(sys.modules["cases.packets.signed_report"], "put_signatures", revoked_then)
    draft = signed.report.drafts.get()
    assert tasks.keep_signed_report(draft_id=str(draft.pk)) == "failed"
    assert not SignedPdf.objects.filter(case=signed).exists()
    monkeypatch.undo()
    with CaptureQueriesContext(connection) as asked:
        assert tasks.keep_signed_report(draft_id=str(draft.pk)) == "made"
    # Nobody revokes between the last look at the certificates and the signatures that are kept.
    locked = [one["sql"] for one in asked if "FOR UPDATE" in one["sql"]]
    assert any("signatures_certificate" in sql for sql in locked)
    levels = Signature.objects.filter(case=signed).order_by("order").values_list("level", flat=True)
    assert list(levels) == ["", "B-B"]


def test_where_no_time_stamp_comes_the_report_waits_and_nothing_half_is_kept(signed, settings):
    settings.TIMESTAMP_URL = "http://127.0.0.1:9/stamp"
    draft = signed.report.drafts.get()
    files = StoredFile.objects.count()
    for _ in range(2):
        assert tasks.keep_signed_report(draft_id=str(draft.pk)) == "waits"
    assert JobProgress.objects.get(key=draft.pk).attempts == 0
    assert (
        StoredFile.objects.count() == files and not Signature.objects.filter(case=signed).exists()
    )
    settings.TIMESTAMP_URL = ""
    assert tasks.keep_signed_report(draft_id=str(draft.pk)) == "made"


def test_a_stamp_of_another_day_than_that_of_signing_is_none(signed, settings):
    stamps = Stamps()
    settings.TIMESTAMP_URL = stamps.address
    draft = signed.report.drafts.get()
    # Whose stamps nobody trusts yet gives none that counts: it is asked again, not given up.
    assert tasks.keep_signed_report(draft_id=str(draft.pk)) == "waits"
    actions.trust_time_stamps(
        make_administrator(), record_id=new_id(), pem=stamps.pem, reason="Chosen."
    )
    for hours in (-20, 20):
        stamps.says_at = timezone.now() + timedelta(hours=hours)
        assert tasks.keep_signed_report(draft_id=str(draft.pk)) == "waits"
    assert not Signature.objects.filter(case=signed).exists()
    stamps.says_at = None
    assert tasks.keep_signed_report(draft_id=str(draft.pk)) == "made"
    stamps.close()
    levels = Signature.objects.filter(case=signed).values_list("level", flat=True)
    assert set(levels) == {"B-T"}
