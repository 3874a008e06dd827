"""The open page: what it tells of a code and of a file, and that it tells nothing else."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from cases.packets.signed_report import signed_report
from cases.signatures import authority
from cases.signatures.models import Certificate, SignedDocument
from cases.signatures.published import published_list
from cases.signatures.rules import code_of
from me_office.accounts.limits import LOOK_UP, look_up_counts, look_up_words
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_staff
from tests.packets.builders import amend
from tests.packets.numbered import bytes_of

pytestmark = pytest.mark.django_db
PAGE = "/verify/"


@pytest.fixture(scope="module")
def _kept_once(made_once, _signed_once):
    return made_once(lambda: signed_report(_signed_once.pk))


@pytest.fixture
def document(db, _kept_once):
    return SignedDocument.objects.get(report=_kept_once)


def ask(**said):
    answer = Client().get(PAGE, said)
    return answer.status_code, answer.content.decode()


def test_a_stranger_learns_by_the_code_that_it_is_known_and_what_its_digest_is(document):
    assert Client().get(PAGE).status_code == 200
    status, said = ask(known=document.code.lower().replace("-", " "))
    assert status == 200 and "A document with this code was signed" in said
    assert document.sha256 in said and "2 digital signatures" in said
    assert "Nothing was added to or changed in this report later." in said
    case = document.case
    for private in (case.label, case.decedent.family_name, "Vasko", "Thorne", str(case.pk)):
        assert not private or private not in said


def test_the_file_itself_is_known_and_a_changed_one_is_not(document):
    pdf = bytes_of(document.report)
    client = Client()
    sent = client.post(PAGE, {"file": SimpleUploadedFile("any name.pdf", pdf)})
    assert "This file is as the office signed it" in sent.content.decode()
    changed = SimpleUploadedFile("x.pdf", pdf[:-1] + b" ")
    assert "Not known here" in client.post(PAGE, {"file": changed}).content.decode()
    assert "as the office signed it" in ask(known=document.sha256.upper())[1]
    assert "Not known here" in ask(known=code_of(new_id()))[1]


def test_what_came_later_is_told_with_its_day(document):
    thorne = make_staff(Role.PATHOLOGIST, Role.SUPERVISOR, name="T. Second")
    for n in range(2):
        amend(document.case, thorne, kind="addendum", text=f"More {n}.", why="Toxicology")
    said = ask(known=document.code)[1]
    assert "2 later documents belong to this report: addendum 1, " in said
    assert "Toxicology" not in said and "More" not in said


def test_what_was_kept_before_codes_is_known_by_its_digest(document):
    kept = document.report
    connection.cursor().execute("SET LOCAL session_replication_role = replica")
    document.signatures.all().delete()
    document.delete()
    status, said = ask(known=kept.file.sha256)
    assert status == 200 and "as the office signed it" in said and "no digital signature" in said


@pytest.mark.parametrize("said", ["", "K7QF", "x" * 201, "K7QF-2M9X-4TBU"])
def test_what_is_neither_a_code_nor_a_digest_is_said_beside_the_field(said):
    status, page = ask(known=said)
    assert status == 422 and "error" in page


def test_whoever_asks_after_too_many_codes_waits_and_a_known_one_costs_nothing(
    document, monkeypatch
):
    from me_office.accounts import limits

    monkeypatch.setattr(limits, "LOOK_UP", limits.Limit(2, 60, 300, 3600))
    for _ in range(5):
        assert ask(known=document.code)[0] == 200
    assert [ask(known=code_of(new_id()))[0] for _ in range(3)] == [200, 200, 429]
    status, said = ask(known=document.code)
    assert status == 429 and "Wait 60 seconds" in said


def test_the_limit_counts_by_address_and_by_site():
    assert [one.key for one in look_up_counts(line="1.2.3.4", site="")] == ["look-up 1.2.3.4"]
    both = look_up_counts(line="2001:db8::/64", site="2001:db8::/48")
    assert [one.key for one in both] == ["look-up 2001:db8::/64", "look-up site 2001:db8::/48"]
    assert {one.limit for one in both} == {LOOK_UP} and not any(one.resets for one in both)
    assert look_up_words(60) == (
        "Too many codes and digests that are not known here. Wait 60 seconds, then try again."
    )
    assert (LOOK_UP.free, LOOK_UP.first_s, LOOK_UP.most_s) == (30, 5, 300)


def test_it_asks_as_many_statements_whatever_came_later(document):
    counts, thorne = [], make_staff(Role.PATHOLOGIST, name="T. Second")
    for more in (3, 57):
        for n in range(more):
            amend(document.case, thorne, kind="addendum", text=f"More {n}.", why="Toxicology")
        with CaptureQueriesContext(connection) as asked:
            ask(known=document.code)
        counts.append(len(asked))
    assert counts[0] == counts[1] < 20


def test_root_and_list_are_open_and_there_is_none_without_an_authority(document):
    client = Client()
    root = Certificate.objects.get(kind="authority")
    assert client.get("/verify/root.pem").content.decode() == root.pem
    from cryptography import x509

    assert len(x509.load_der_x509_crl(client.get("/verify/revoked.crl").content)) == 0
    Certificate.objects.filter(pk=root.pk).update(revoked_at=root.not_before, revoked_why="x")
    for name in ("root.pem", "revoked.crl"):
        assert client.get(f"/verify/{name}").status_code == 404


def test_strangers_make_the_office_sign_no_list_anew(document, monkeypatch):
    from cryptography import x509

    made = []
    real = authority.list_of_revoked
    monkeypatch.setattr(
        authority, "list_of_revoked", lambda *said, **at: made.append(at) or real(*said, **at)
    )
    cache.clear()
    client, address = Client(), "/verify/revoked.crl"
    assert len({client.get(address).content for _ in range(40)}) == len(made) == 1
    one = Certificate.objects.filter(kind="person").first()
    Certificate.objects.filter(pk=one.pk).update(revoked_at=timezone.now(), revoked_why="x")
    listed = x509.load_der_x509_crl(client.get(address).content)
    assert [f"{each.serial_number:X}" for each in listed] == [one.serial]
    for days, lists in ((14, 2), (15, 3), (-1, 4)):
        published_list(timezone.now() + timedelta(days=days))
        assert len(made) == lists


def test_where_no_list_can_be_kept_strangers_wait(document, monkeypatch):
    from me_office.accounts import limits

    monkeypatch.setattr(limits, "LOOK_UP", limits.Limit(2, 60, 300, 3600))
    monkeypatch.setattr("cases.signatures.published.cache.get", lambda key: None)
    answers = [Client().get("/verify/revoked.crl").status_code for _ in range(4)]
    assert answers == [200, 200, 429, 429]


def test_a_stranger_is_not_told_why_the_list_cant_be_made(document, settings):
    settings.SIGNING_SECRET = ""
    cache.clear()
    answer = Client().get("/verify/revoked.crl")
    assert answer.status_code == 503
    assert "secret" not in answer.content.decode().lower()
