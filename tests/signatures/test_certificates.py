"""Certificates: who may make them, what comes of it, how they end and are renewed."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.signatures import actions, authority, tasks
from cases.signatures.models import Certificate, SigningKey
from cases.signatures.queries import held_by, holders, revoked_here
from cases.signatures.rules import RENEWED_BEFORE, good_one
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from me_office.upkeep.conditions import State
from me_office.upkeep.parts.certificates import certificates
from tests.builders import PASSWORD, as_person, make_staff, taken_back, with_password
from tests.signatures.builders import WHY, certificate_for, make_administrator
from tests.signatures.making import issued
from tests.signatures.test_pades import _file

pytestmark = pytest.mark.django_db
PAGE = "/certificates/"


@pytest.fixture
def birch(db):
    return with_password(make_administrator())


@pytest.fixture
def vasko(db):
    return make_staff(Role.PATHOLOGIST, name="I. Vasko", credentials="MD")


def test_a_certificate_is_issued_once_by_an_administrator_and_told(birch, vasko):
    key = new_id()
    for person in (vasko, make_staff(Role.SUPERVISOR)):
        with pytest.raises(NotAllowed):
            actions.make_authority(person, record_id=key, **WHY)
    with pytest.raises(Refused, match="no authority"):
        actions.issue_certificate(birch, record_id=key, person_id=vasko.pk, **WHY)
    with pytest.raises(Refused, match="Say why"):
        actions.make_authority(birch, record_id=key, reason=" ")
    root = actions.make_authority(birch, record_id=key, **WHY)
    assert actions.make_authority(birch, record_id=key, **WHY) == root
    with pytest.raises(Refused, match="already"):
        actions.make_authority(birch, record_id=new_id(), **WHY)
    one_key = new_id()
    one = actions.issue_certificate(birch, record_id=one_key, person_id=vasko.pk, **WHY)
    assert actions.issue_certificate(birch, record_id=one_key, person_id=vasko.pk, **WHY) == one
    other = make_staff(Role.PATHOLOGIST)
    with pytest.raises(Conflict):
        actions.issue_certificate(birch, record_id=one_key, person_id=other.pk, **WHY)
    clerk = make_staff(Role.RECORDS_CLERK)
    for person_id, error in ((clerk.pk, Refused), (new_id(), NotKnown)):
        with pytest.raises(error):
            actions.issue_certificate(birch, record_id=new_id(), person_id=person_id, **WHY)
    assert (one.name, one.issuer) == ("I. Vasko, MD", root.name)
    assert authority.is_issued_by(one.pem, root.pem)
    (event,) = AuditEvent.objects.filter(record_id=str(one.pk))
    assert (event.act, event.actor_id, event.reason) == (
        "issue_certificate", birch.pk, WHY["reason"],
    )  # fmt: skip
    assert "PRIVATE" not in str(event.changes)


def test_a_revoked_one_signs_no_more_and_its_key_is_gone(birch, vasko):
    one = certificate_for(vasko, birch)
    root = Certificate.objects.get(kind="authority")
    revoke = actions.revoke_certificate
    with pytest.raises(NotAllowed):
        revoke(vasko, certificate_id=one.pk, version=1, reason="Lost")
    with pytest.raises(StaleRecord):
        revoke(birch, certificate_id=one.pk, version=2, reason="Lost")
    with taken_back():
        # On one that has ended nothing rests any more.
        Certificate.objects.filter(pk=one.pk).update(not_after=timezone.now() - timedelta(days=1))
        revoke(birch, certificate_id=root.pk, version=1, reason="A new one is made.")
    with pytest.raises(Refused, match="rest on this authority"):
        revoke(birch, certificate_id=root.pk, version=1, reason="Lost")
    with pytest.raises(NotKnown):
        revoke(birch, certificate_id=new_id(), version=1, reason="Lost")
    gone = revoke(birch, certificate_id=one.pk, version=1, reason="Lost")
    assert gone.revoked_why == "Lost" and not SigningKey.objects.filter(certificate=one).exists()
    assert held_by([vasko.pk]) == {}
    with pytest.raises(Refused, match="revoked already"):
        revoke(birch, certificate_id=one.pk, version=2, reason="Lost")
    listed = actions.office_list(timezone.now())
    from cryptography import x509

    entry = x509.load_der_x509_crl(listed).get_revoked_certificate_by_serial_number(
        int(one.serial, 16)
    )
    assert entry is not None
    # Then the authority may be replaced, too.
    revoke(birch, certificate_id=root.pk, version=1, reason="A new one")
    assert actions.office_list(timezone.now()) is None
    assert actions.make_authority(birch, record_id=new_id(), **WHY).pk != root.pk


def test_the_next_one_is_issued_before_the_first_ends_once(birch, vasko, monkeypatch):
    one = certificate_for(vasko, birch)
    assert tasks.renew_certificates() == 0
    near = one.not_after - RENEWED_BEFORE + timedelta(minutes=1)
    monkeypatch.setattr(timezone, "now", lambda: near)
    assert [tasks.renew_certificates() for _ in range(2)] == [1, 0]
    second = good_one(held_by([vasko.pk])[vasko.pk], near)
    assert second.pk != one.pk and second.not_after > one.not_after
    assert AuditEvent.objects.get(record_id=str(second.pk)).act == "renew_certificate"
    # Who has left or signs no longer gets none.
    vasko.is_active = False
    vasko.save()
    monkeypatch.setattr(timezone, "now", lambda: second.not_after - timedelta(days=1))
    assert tasks.renew_certificates() == 0


def _post(client, way, **said):
    page = f"{PAGE}{way}/"
    return client.post(page, {"record_id": new_id(), "version": 0, "own_password": PASSWORD,
                              "reason": "Needed", **said})  # fmt: skip


def test_the_pages_make_issue_import_and_revoke(birch, vasko):
    browser = as_person(birch)
    assert "No certificates yet" in browser.get(PAGE).content.decode()
    assert as_person(vasko).get(PAGE).status_code == 403
    refused = _post(browser, "authority", own_password="wrong")
    assert refused.status_code == 422 and "not your password" in refused.content.decode()
    assert _post(browser, "authority").status_code == 302
    assert _post(browser, "issue", person_id="").status_code == 422
    assert _post(browser, "issue", person_id=vasko.pk).status_code == 302
    own = SimpleUploadedFile("own.p12", _file(issued("N. Amadi, MD")))
    amadi = make_staff(Role.PATHOLOGIST, name="N. Amadi", credentials="MD")
    wrong = _post(browser, "import", person_id=amadi.pk, file=own, file_password="shut")
    assert wrong.status_code == 422 and "another password" in wrong.content.decode()
    own.seek(0)
    done = _post(browser, "import", person_id=amadi.pk, file=own, file_password="open")
    assert done.status_code == 302
    kept = Certificate.objects.get(person=amadi)
    assert not kept.issued_here and actions.key_of(kept) == issued("N. Amadi, MD").key
    own.seek(0)
    again = _post(browser, "import", person_id=amadi.pk, file=own, file_password="open")
    assert "kept already" in again.content.decode()
    large = SimpleUploadedFile("own.p12", b"x" * 100_001)
    assert "too large" in _post(browser, "import", person_id=amadi.pk, file=large).content.decode()
    shown = browser.get(PAGE).content.decode()
    assert kept.serial in shown and "valid, until" in shown
    page = reverse("signatures:revoke", args=[kept.pk])
    said = {"version": 1, "reason": "Left", "own_password": PASSWORD, "request_key": new_id()}
    assert browser.post(page, said).status_code == 302
    assert "Left" in browser.get(PAGE).content.decode()
    # Of what another authority issued this office's list says nothing.
    assert revoked_here() == []


def test_the_page_takes_as_many_statements_for_many_as_for_few(birch):
    browser, counts = as_person(birch), []
    for more in (3, 20):
        for n in range(more):
            certificate_for(make_staff(Role.PATHOLOGIST, name=f"P. {more} {n}"), birch)
        with CaptureQueriesContext(connection) as asked:
            browser.get(PAGE)
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_what_is_missing_or_ends_soon_is_told_to_who_keeps_the_office(
    birch, vasko, monkeypatch, settings
):
    assert [(one.state, "none" in one.says) for one in certificates()] == [(State.RIGHT, True)]
    one = certificate_for(vasko, birch)
    assert [one.state for one in certificates()] == [State.RIGHT]
    amadi = make_staff(Role.PATHOLOGIST, name="N. Amadi")
    (said,) = certificates()
    assert said.state == State.WRONG and said.says.startswith(f"{amadi.username} signs reports")
    settings.SIGNING_SECRET = "another"
    assert "another signing secret" in next(iter(certificates())).says
    settings.SIGNING_SECRET = ""
    assert "No signing secret" in next(iter(certificates())).says
    settings.TIMESTAMP_URL = "https://stamps.example"
    assert "no time-stamp authority" in list(certificates())[-1].says
    for at, state in ((one.not_after - timedelta(days=1), "expires soon"),
                      (one.not_after + timedelta(days=1), "expired")):  # fmt: skip
        monkeypatch.setattr(timezone, "now", lambda at=at: at)
        assert [each.state for each in holders() if each.certificate] == [state]


def test_the_command_lists_makes_and_revokes_in_the_name_of_an_administrator(
    birch, vasko, monkeypatch, capsys
):
    from cases.signatures.management.commands import certificates as command

    monkeypatch.setattr(command.getpass, "getpass", lambda _: PASSWORD)
    by = {"by": birch.username, "reason": "Set up"}
    call_command("certificates", "authority", **by)
    call_command("certificates", "issue", vasko.username, **by)
    one = Certificate.objects.get(person=vasko)
    call_command("certificates", "revoke", one.serial, **by)
    call_command("certificates", "renew")
    call_command("certificates", "list")
    assert f"{one.serial}  I. Vasko, MD  person  revoked" in capsys.readouterr().out
    for wrong in (["issue", "nobody"], ["revoke", "00"], ["trust"], ["issue", birch.username]):
        with pytest.raises(CommandError):
            call_command("certificates", *wrong, **by)
    monkeypatch.setattr(command.getpass, "getpass", lambda _: "wrong")
    with pytest.raises(CommandError, match="not the password"):
        call_command("certificates", "issue", vasko.username, **by)


def test_who_issues_waits_for_who_issues_already(birch, vasko):
    with CaptureQueriesContext(connection) as asked:
        certificate_for(vasko, birch)
    said = [one["sql"] for one in asked]
    # Once for the authority that is made first, once for the person's certificate.
    assert sum("pg_advisory_xact_lock" in one for one in said) == 2
