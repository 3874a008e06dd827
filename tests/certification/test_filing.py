"""Items of others, follow-up, statements to the registrar and the worksheet."""

from __future__ import annotations

import datetime as dt
import io
import json
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from cases.certification import filing
from cases.certification.models import Certification, FollowUp, Particulars, RegistrarStatement
from cases.certification.steps import _pending, _to_state
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import MOMENT, as_person, make_case, make_staff
from tests.certification.test_cause_and_manner import state

pytestmark = pytest.mark.django_db


def today():
    return timezone.localdate()


def to_registrar(by, case, *, version=1, reason="", record_id=None, on=None):
    return filing.state_to_registrar(
        by, case_id=case.pk, record_id=record_id or new_id(), version=version,
        entry={"certified_on": on or today()}, reason=reason,
    )  # fmt: skip


def follow(by, case, *, on=None, version=0, record_id=None, **entry):
    return filing.record_follow_up(
        by, case_id=case.pk, record_id=record_id or new_id(), version=version,
        entry={"awaited": "toxicology", "follow_up_on": on or today(), **entry},
    )  # fmt: skip


def test_the_first_statement_stays_and_a_later_one_amends_it_with_a_reason():
    vasko, case = make_staff(Role.PATHOLOGIST, name="I. Vasko"), make_case()
    with pytest.raises(Refused, match="State cause and manner first"):
        to_registrar(vasko, case)
    state(vasko, case)
    first = to_registrar(vasko, case, on=today() - dt.timedelta(days=2))
    with pytest.raises(Refused, match="reads otherwise"):
        to_registrar(vasko, case, reason="again")
    with pytest.raises(Refused) as refusal:
        state(vasko, case, version=1, cause_a="Drowning in fresh water")
    assert refusal.value.field == "reason"
    state(vasko, case, version=1, cause_a="Drowning in fresh water", reason="Diatoms found.")
    with pytest.raises(StaleRecord):
        to_registrar(vasko, case, version=1, reason="Diatoms")
    with pytest.raises(Refused):
        to_registrar(vasko, case, version=2)
    key = new_id()
    second = to_registrar(vasko, case, version=2, reason="Diatoms found.", record_id=key)
    assert to_registrar(vasko, case, version=2, reason="Diatoms found.", record_id=key) == second
    with pytest.raises(Conflict):
        to_registrar(vasko, case, version=2, reason="Another", record_id=key)
    kept = {row["item"]: row["text"] for row in RegistrarStatement.objects.get(pk=first.pk).said}
    assert kept["32 I a"] == "Drowning" and kept["37"] == "accident [7878000]"
    assert (first.number, second.number, second.why) == (1, 2, "Diatoms found.")
    event = AuditEvent.objects.filter(table="certification_registrarstatement").first()
    assert (event.actor_name, event.act) == ("I. Vasko", "state_to_registrar")

    page = as_person(make_staff(Role.RECORDS_CLERK)).get(
        reverse("certification:cause-and-manner", args=[case.pk])
    )
    words = page.content.decode()
    assert ">changed since</strong>" not in words and "nothing recorded" in words
    assert "Amends the statement of" in words and "<del>Drowning</del>" in words
    assert words.count("Diatoms found.") == 1
    read = as_person(vasko).get(f"/api/cases/{case.pk}/certificate/statements/").json()
    assert [one["amends"] for one in read] == [None, first.certified_on.isoformat()]
    assert read[1]["changes"] == [
        {"item": "32 I a", "label": "Immediate cause", "was": "Drowning",
         "now": "Drowning in fresh water"}
    ]  # fmt: skip


def test_a_basis_may_be_written_on_without_a_reason_and_is_nothing_to_state():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    state(vasko, case)
    to_registrar(vasko, case)
    # What was never stated to the registrar cannot read otherwise.
    state(vasko, make_case())
    state(vasko, case, version=1, basis="Diatoms in the marrow.")
    assert _to_state(vasko, timezone.now()) == []
    state(vasko, case, version=2, interval_a="hours", reason="Seen on film.")
    chief, other = make_staff(Role.SUPERVISOR), make_staff(Role.PATHOLOGIST)
    for person, rows in ((vasko, 1), (other, 0), (chief, 1)):
        person.roles  # noqa: B018
        with CaptureQueriesContext(connection) as asked:
            found = _to_state(person, timezone.now())
        assert (len(found), len(asked)) == (rows, 1)
    assert found[0].detail == "changed since: item 32 I a, interval"
    assert _to_state(chief, timezone.now() + dt.timedelta(days=181)) == []


@pytest.mark.parametrize("role", sorted(set(Role) - {Role.PATHOLOGIST, Role.ADMINISTRATOR}))
def test_only_a_pathologist_states_it_to_the_registrar(role):
    with pytest.raises(NotAllowed):
        to_registrar(make_staff(role), make_case())


def test_after_the_signature_it_is_stated_and_followed_up_still():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    state(vasko, case, manner="pending")
    case.state, case.signed_at = "signed", MOMENT
    case.save()
    assert to_registrar(vasko, case).number == 1
    one = follow(make_staff(Role.RECORDS_CLERK), case)
    came = follow(vasko, case, record_id=one.pk, version=1, came_on=today())
    assert came.came_on == today()
    filing.record_particulars(
        vasko, case_id=case.pk, record_id=new_id(), version=0, entry={"birthplace": "Tarnford"}
    )
    assert Particulars.objects.get().birthplace == "Tarnford"


def test_a_follow_up_that_passed_stands_out_first():
    vasko = make_staff(Role.PATHOLOGIST)
    cases = [make_case() for _ in range(4)]
    for case in cases:
        state(vasko, case, manner="pending", cause_a="Pending")
    week = dt.timedelta(days=7)
    follow(vasko, cases[0], on=today() + week)
    follow(vasko, cases[2], on=today() - week, details="second run")
    follow(vasko, cases[2], on=today() + week, awaited="histology")
    done = follow(vasko, cases[3], on=today() - week)
    follow(vasko, cases[3], record_id=done.pk, version=1, on=today() - week, came_on=today())
    with CaptureQueriesContext(connection) as asked:
        rows = _pending(vasko, timezone.now())
    assert len(asked) == 1
    assert [row.number for row in rows] == [cases[i].label for i in (2, 1, 3, 0)]
    assert [row.urgency for row in rows] == ["attention", "", "", ""]
    assert rows[0].detail.startswith(
        "waits for toxicology: second run, histology; follow-up passed 7 days ago; "
    )
    assert rows[1].detail.startswith("no follow-up date; ")
    assert rows[3].detail.startswith("waits for toxicology; follow-up in 7 days; ")


def test_what_cannot_be_is_said_beside_its_field():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    with pytest.raises(Invalid) as refusal:
        follow(vasko, case, awaited="other")
    assert list(refusal.value.errors) == ["details"]
    with pytest.raises(NotAllowed):
        follow(make_staff(Role.EVIDENCE_TECHNICIAN), case)
    address = reverse("certification:particulars", args=[case.pk])
    client = as_person(vasko)
    answer = client.post(address, {"social_security": "12", "filed_on": "2099-01-01"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Nine digits" in page and "This date is in the future." in page
    assert not Particulars.objects.exists()


def test_a_follow_up_is_added_changed_and_withdrawn_by_page_and_by_interface():
    clerk, case = make_staff(Role.RECORDS_CLERK), make_case()
    client = as_person(clerk)
    key = str(new_id())
    answer = client.post(
        reverse("certification:add-follow-up", args=[case.pk]),
        {"awaited": "histology", "follow_up_on": today().isoformat(), "record_id": key},
    )
    assert answer.status_code == 302, answer.content
    address = f"/api/cases/{case.pk}/certificate-follow-ups/"
    body = {"id": key, "version": 1, "came_on": today().isoformat(), "awaited": "histology",
            "follow_up_on": today().isoformat()}  # fmt: skip
    sent = client.post(address, json.dumps(body), content_type="application/json")
    assert sent.status_code == 200, sent.content
    assert client.get(address).json()[0]["came_on"] == today().isoformat()
    gone = client.post(
        reverse("certification:void-follow-up", args=[case.pk, key]),
        {"version": 2, "reason": "Of another case."},
    )
    assert gone.status_code == 302
    assert client.get(address).json() == []


def test_a_statement_by_mistake_is_withdrawn_with_a_reason_and_stays_on_the_page():
    vasko, case = make_staff(Role.PATHOLOGIST, name="I. Vasko"), make_case()
    state(vasko, case)
    first = to_registrar(vasko, case)
    state(vasko, case, version=1, cause_a="Drowning in fresh water", reason="Diatoms found.")
    second = to_registrar(vasko, case, version=2, reason="Diatoms found.")

    def withdraw(by, one, version=1, reason="Never stated."):
        return filing.withdraw_registrar_statement(
            by, record_id=one.pk, version=version, reason=reason
        )

    with pytest.raises(NotAllowed):
        withdraw(make_staff(Role.RECORDS_CLERK), second)
    with pytest.raises(Refused, match="later one first"):
        withdraw(vasko, first)
    with pytest.raises(Refused):
        withdraw(vasko, second, reason=" ")
    with pytest.raises(StaleRecord):
        withdraw(vasko, second, version=2)
    browser = as_person(vasko)
    page = reverse("certification:withdraw-statement", args=[case.pk, second.pk])
    shown = reverse("certification:cause-and-manner", args=[case.pk])
    assert page in browser.get(shown).content.decode()
    gone = browser.post(page, {"version": 1, "reason": "Never stated.", "request_key": new_id()})
    assert gone.status_code == 302
    assert "was withdrawn by I. Vasko" in (said := browser.get(shown).content.decode())
    assert "Never stated." in said and page not in said
    # The first one stands again, and what changed since waits to be stated, under a new number.
    assert to_registrar(vasko, case, version=2, reason="Diatoms found.").number == 3


def test_the_page_takes_as_many_statements_for_three_as_for_sixty():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    state(vasko, case, manner="pending", cause_a="Pending")
    to_registrar(vasko, case)
    client, counts = as_person(vasko), []
    row = RegistrarStatement.objects.get()
    for more in (3, 57):
        FollowUp.objects.bulk_create(
            FollowUp(case=case, awaited="histology", follow_up_on=today(), created_by=vasko,
                     changed_by=vasko)
            for _ in range(more)
        )  # fmt: skip
        last = RegistrarStatement.objects.count()
        RegistrarStatement.objects.bulk_create(
            RegistrarStatement(
                case=case, number=last + 1 + n, certified_on=today(), why="More.", said=row.said,
                of_version=1, stated_at=row.stated_at, stated_by=vasko, certifier="V",
                created_by=vasko, changed_by=vasko,
            )
            for n in range(more)
        )  # fmt: skip
        with CaptureQueriesContext(connection) as asked:
            client.get(reverse("certification:cause-and-manner", args=[case.pk]))
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_guidance_answers_for_whoever_certifies_and_keeps_nothing():
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    address = reverse("certification:guidance", args=[case.pk])
    typed = {"cause_a": "Hemopericardium", "interval_a": "years", "cause_b": "Aortic dissection",
             "interval_b": "minutes", "manner": "natural"}  # fmt: skip
    asked = as_person(vasko).post(address, typed).json()["asked"]
    assert list(asked) == ["cause_a"] and "longer than" in asked["cause_a"][0]
    assert as_person(make_staff(Role.RECORDS_CLERK)).post(address, typed).status_code == 403
    assert not Certification.objects.exists()


def token(name: str, length: int) -> str:
    """A word that no other value of the worksheet holds."""
    return f"Z{name.replace('_', '')}q"[:length]


def filled(model: type, **given: object) -> dict[str, object]:
    """Every text of a record with a word of its own, every choice and date with one that is."""
    entry: dict[str, object] = dict(given)
    for field in model._meta.concrete_fields:
        if not field.editable or field.name in entry or field.name in {"stated_at", "stated_by"}:
            continue
        if field.choices:
            entry[field.name] = field.flatchoices[0][0]
        elif field.get_internal_type() in {"CharField", "TextField"}:
            entry[field.name] = token(field.name, field.max_length or 60)
    return entry


def text_of(pdf: bytes) -> str:
    pages = PdfReader(io.BytesIO(pdf)).pages
    return "\n".join(page.extract_text() for page in pages)


def test_every_value_of_the_record_stands_on_the_worksheet_exactly_once():
    vasko, case = make_staff(Role.PATHOLOGIST, name="I. Vasko", job_title="Zdeputy"), make_case()
    entry = filled(
        Certification, death_on=dt.date(2026, 3, 4), death_time=dt.time(3, 17),
        injury_on=dt.date(2026, 2, 21), injury_time=dt.time(14, 52), transport_role="other",
        manner="accident", pregnancy="3", autopsy="yes", autopsy_available="no",
    )  # fmt: skip
    state(vasko, case, **entry)
    others = filled(Particulars, social_security="000-12-3456", filed_on=dt.date(2026, 3, 11),
                    pronouncer_signed_on=dt.date(2026, 3, 6))  # fmt: skip
    filing.record_particulars(vasko, case_id=case.pk, record_id=new_id(), version=0, entry=others)
    printed = as_person(vasko).get(f"/api/cases/{case.pk}/certificate/worksheet.pdf")
    assert printed.status_code == 200 and printed["Content-Type"] == "application/pdf"
    text = text_of(printed.content)
    words = [
        value for value in (*entry.values(), *others.values())
        if isinstance(value, str) and value.startswith("Z")
    ]  # fmt: skip
    assert len(words) == len(set(words)) > 40
    for value in words:
        assert len(re.findall(rf"(?<!\w){value}(?!\w)", text)) == 1, value
    for value in (
        "4 Mar 2026 (actual)", "03:17 (actual)", "21 Feb 2026", "14:52", "11 Mar 2026",
        "6 Mar 2026", "000-12-3456", "[7878000]", "[3]", "[455381000124109]", "Zdeputy",
    ):  # fmt: skip
        assert text.count(value) == 1, value
    assert "not a death certificate" in text and "page 1 of" in text
    assert "A number in brackets behind an answer is its code" in text
    assert f"by {vasko.printed_name}" in text


def test_what_is_empty_says_so_and_a_clerk_may_print_it():
    answer = as_person(make_staff(Role.RECORDS_CLERK)).get(
        reverse("certification:worksheet", args=[make_case().pk])
    )
    text = text_of(answer.content)
    assert answer["Content-Disposition"].startswith('inline; filename="certificate-worksheet-')
    assert text.count("not stated") > 60
    assert "Nothing was stated to the registrar yet" in text
