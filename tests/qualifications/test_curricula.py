"""Lines, versions and what is counted in them; their pages, API and PDF."""

from __future__ import annotations

import hashlib
import io
from datetime import date, timedelta
from typing import Any

import pikepdf
import pytest
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.qualifications import actions, queries
from cases.qualifications.models import CurriculumVersion, Qualification
from cases.qualifications.printing import print_curriculum
from cases.review.rules import canonical_of
from cases.worklists import sections_for
from findings import actions as findings
from findings.models import Examination
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.appearances.builders import appear, in_days, was_heard
from tests.builders import as_person, make_case, make_staff

pytestmark = pytest.mark.django_db


def line_entry(**said: Any) -> dict[str, Any]:
    return {
        "kind": "license",
        "title": "Medical license",
        "place": "State Medical Board",
        "number": "4471",
        "from_year": 2014,
        "valid_until": timezone.localdate() + timedelta(days=300),
        **said,
    }


def add_line(by, person=None, **said) -> Qualification:
    key = (person or by).pk
    return actions.record_qualification(
        by, person_id=key, record_id=new_id(), entry=line_entry(**said)
    )


def issue(by, person=None, **more) -> CurriculumVersion:
    return actions.issue_curriculum(by, person_id=(person or by).pk, record_id=new_id(), **more)


def examined(by, kind="full autopsy", *, ended: Any = None, began: Any = None) -> Examination:
    began = began or (ended or timezone.now()) - timedelta(hours=2)
    return findings.open_examination(
        by,
        case_id=make_case(by=by, pathologist=by).pk,
        record_id=new_id(),
        entry={
            "kind": kind, "chart_body": "adult_male", "began_at": began, "ended_at": ended,
            "kind_reason": "asked for", "circumstances_reviewed": True,
        },
    )  # fmt: skip


def test_who_keeps_a_curriculum_vitae_and_what_it_leaves_in_the_trail(vasko, clerk):
    boss = make_staff(Role.SUPERVISOR)
    line = add_line(vasko)
    assert add_line(boss, vasko, number="9").person == vasko
    for other in (clerk, make_staff(Role.PATHOLOGIST)):
        with pytest.raises(NotAllowed):
            add_line(other, vasko)
        with pytest.raises(NotAllowed):
            issue(other, vasko)
        with pytest.raises(NotAllowed):
            actions.void_qualification(
                other, person_id=vasko.pk, record_id=line.pk, version=1, reason="why"
            )
    with pytest.raises(NotAllowed):
        add_line(make_staff(Role.ADMINISTRATOR))
    event = AuditEvent.objects.filter(record_id=str(line.pk)).get()
    assert (event.act, event.case_id) == ("record_qualification", None)


def test_a_line_is_changed_refused_when_stale_or_wrong_and_voided(vasko):
    line = add_line(vasko)
    keys = {"person_id": vasko.pk, "record_id": line.pk}
    with pytest.raises(Invalid):
        actions.record_qualification(vasko, **keys, version=1, entry={"number": ""})
    changed = actions.record_qualification(vasko, **keys, version=1, entry={"number": "4472"})
    assert (changed.number, changed.version) == ("4472", 2)
    with pytest.raises(StaleRecord):
        actions.record_qualification(vasko, **keys, version=1, entry={"number": "4473"})
    with pytest.raises(Conflict):
        actions.record_qualification(vasko, **keys, entry=line_entry(number="5"))
    with pytest.raises(StaleRecord):
        actions.void_qualification(vasko, **keys, version=1, reason="entered twice")
    actions.void_qualification(vasko, **keys, version=2, reason="entered twice")
    assert queries.lines_of(vasko.pk) == []
    with pytest.raises(Refused):
        actions.record_qualification(vasko, **keys, version=3, entry={"number": "4473"})


def test_examinations_count_that_ended_by_the_end_of_the_day_and_are_ones_own(vasko):
    day = timezone.localdate() - timedelta(days=3)
    last, next_day = queries.end_of(day) - timedelta(minutes=1), queries.end_of(day)
    for n in range(2):
        examined(vasko, ended=last - timedelta(days=n))
    examined(vasko, "external", ended=last)
    # Ended a minute too late; begun and never said to have ended; somebody else's; after the day.
    examined(vasko, "limited", ended=next_day, began=last)
    examined(vasko, "limited", began=last)
    examined(make_staff(Role.PATHOLOGIST), ended=last)
    examined(vasko, ended=next_day + timedelta(hours=5))
    found = queries.examinations(vasko.pk, day)
    assert (found["total"], found["kinds"], found["not_ended"]) == (
        3, [["external examination", 1], ["full autopsy", 2]], 2,
    )  # fmt: skip
    assert queries.examinations(vasko.pk, day + timedelta(days=1))["total"] == 5
    assert found["first"] == (last - timedelta(days=1)).astimezone().date().isoformat()


def test_testimony_counts_where_somebody_was_heard(vasko, clerk):
    case = make_case()
    was_heard(vasko, case, begins_at=in_days(-3, "23:59"))
    was_heard(vasko, case, kind="deposition", begins_at=in_days(-9))
    was_heard(vasko, case, kind="meeting", begins_at=in_days(-9))
    was_heard(clerk, case, kind="hearing", begins_at=in_days(-9))
    appear(vasko, case, begins_at=in_days(-9))
    day = timezone.localdate() - timedelta(days=3)
    assert queries.testimony(vasko.pk, day)["kinds"] == [["deposition", 1], ["trial", 1]]
    assert queries.testimony(vasko.pk, day - timedelta(days=1))["kinds"] == [["deposition", 1]]


def test_a_version_is_frozen_and_the_next_one_follows(vasko):
    with pytest.raises(Refused):
        issue(vasko)
    line = add_line(vasko)
    examined(vasko, ended=timezone.now() - timedelta(days=1))
    with pytest.raises(Refused) as refused:
        issue(vasko, counted_on=timezone.localdate() + timedelta(days=1))
    assert refused.value.field == "counted_on"
    key = new_id()
    given = {"person_id": vasko.pk, "record_id": key}
    first = actions.issue_curriculum(vasko, **given)
    assert actions.issue_curriculum(vasko, **given).pk == first.pk
    assert actions.issue_curriculum(vasko, **given, counted_on=first.counted_on).pk == first.pk
    for other in (
        {**given, "counted_on": first.counted_on - timedelta(days=1)},
        {**given, "person_id": make_staff(Role.PATHOLOGIST, name="B. Birch").pk},
    ):
        with pytest.raises(Conflict):
            actions.issue_curriculum(make_staff(Role.SUPERVISOR), **other)
    assert (first.number, first.content["examinations"]["total"]) == (1, 1)
    assert first.sha256 == hashlib.sha256(canonical_of(first.content)).hexdigest()
    examined(vasko, ended=timezone.now() - timedelta(hours=1))
    actions.record_qualification(
        vasko, person_id=vasko.pk, record_id=line.pk, version=1, entry={"number": "9"}
    )
    second = issue(vasko)
    first.refresh_from_db()
    assert (first.content["examinations"]["total"], second.content["examinations"]["total"]) == (
        1, 2,
    )  # fmt: skip
    assert first.content["sections"][0]["lines"][0]["number"] == "4471"
    assert [(one.version.number, one.until) for one in queries.versions_of([vasko.pk])] == [
        (2, None), (1, timezone.localdate()),
    ]  # fmt: skip
    other = make_staff(Role.PATHOLOGIST, name="N. Amadi")
    add_line(other)
    assert issue(other).number == 1, "each person's versions are numbered by themselves"
    with transaction.atomic(), pytest.raises(DatabaseError):
        CurriculumVersion.objects.filter(pk=first.pk).update(sha256="0" * 64)


def test_the_pdf_says_what_was_frozen_and_holds_it_byte_for_byte(vasko):
    add_line(vasko, valid_until=timezone.localdate() - timedelta(days=1), from_year=None)
    version = issue(vasko)
    made = print_curriculum(version)
    assert print_curriculum(version).pdf == made.pdf
    with pikepdf.open(io.BytesIO(made.pdf)) as pdf:
        kept = pdf.attachments["content.json"].get_file().read_bytes()
        assert "curriculum" in str(pdf.docinfo.get("/Title", "")).lower()
    assert hashlib.sha256(kept).hexdigest() == version.sha256


def test_the_pages_show_issue_change_and_void(client, clerk, vasko):
    line = add_line(vasko, valid_until=timezone.localdate() - timedelta(days=1))
    page = reverse("qualifications:person", args=[vasko.pk])
    client.force_login(vasko)
    shown = client.get(page).content.decode()
    assert "No curriculum vitae" in shown
    assert "expired" in shown
    today = timezone.localdate().isoformat()
    form = {"record_id": str(new_id()), "version": "0", "request_key": str(new_id())}
    assert client.post(page, {**form, "counted_on": "2999-01-01"}).status_code == 422
    assert client.post(page, {**form, "counted_on": today}).status_code == 302
    pdf = client.get(reverse("qualifications:version-pdf", args=[vasko.pk, 1]))
    assert pdf.content.startswith(b"%PDF-")
    assert client.get(reverse("qualifications:version-pdf", args=[vasko.pk, 2])).status_code == 404
    edit = reverse("qualifications:edit", args=[vasko.pk, line.pk])
    sent = {**form, "record_id": str(line.pk), "version": "1", "request_key": str(new_id())}
    said = {"kind": "license", "title": "Medical license", "place": "", "number": "1"}
    wrong = client.post(edit, {**sent, **said})
    assert wrong.status_code == 422
    assert "Name the state" in wrong.content.decode()
    later = {**sent, **said, "place": "State Board", "valid_until": "2999-01-01"}
    assert client.post(edit, later).status_code == 302
    # The last version was issued before the line was changed.
    assert "Curriculum vitae changed since" in client.get(page).content.decode()
    client.force_login(clerk)
    assert "Issue the next version" not in client.get(page).content.decode()
    assert client.get(edit).status_code == 403
    assert client.get(reverse("qualifications:curricula")).status_code == 200
    client.force_login(vasko)
    gone = {"version": "2", "reason": "given up", "request_key": str(new_id())}
    there = reverse("qualifications:withdraw", args=[vasko.pk, line.pk])
    assert client.post(there, gone).status_code == 302
    client.force_login(make_staff(Role.ADMINISTRATOR))
    for address in (page, reverse("qualifications:curricula"), edit):
        assert client.get(address).status_code == 403


def test_a_date_in_court_says_that_no_current_curriculum_vitae_is_there(vasko):
    case = make_case()

    def lacking():
        [section] = [one for one in sections_for(vasko) if one.key == "own-appearances"]
        [row] = section.rows(vasko, timezone.now())
        return [words for words, url in row.lacks if "curricula" in url]

    one = appear(vasko, case, begins_at=in_days(5))
    assert lacking() == ["no curriculum vitae"]
    line = add_line(vasko, valid_until=timezone.localdate() + timedelta(days=5))
    issue(vasko)
    assert lacking() == []
    keys = {"person_id": vasko.pk, "record_id": line.pk}
    until = date.fromisoformat((timezone.localdate() + timedelta(days=4)).isoformat())
    actions.record_qualification(vasko, **keys, version=1, entry={"valid_until": until})
    assert lacking() == ["license or certification expired by then"]
    later = timezone.localdate() + timedelta(days=99)
    actions.record_qualification(vasko, **keys, version=2, entry={"valid_until": later})
    assert lacking() == ["curriculum vitae changed since it was issued"]
    issue(vasko)
    assert lacking() == []
    # One that runs out in between counts while it stands, and no more once it was withdrawn.
    soon = add_line(vasko, number="9", valid_until=until)
    issue(vasko)
    assert lacking() == ["license or certification expired by then"]
    actions.void_qualification(
        vasko, person_id=vasko.pk, record_id=soon.pk, version=1, reason="entered twice"
    )
    issue(vasko)
    assert lacking() == []
    type(one).objects.filter(pk=one.pk).update(kind="meeting")
    assert lacking() == []


def test_pages_ask_as_much_for_sixty_lines_as_for_three(client, vasko):
    client.force_login(vasko)
    pages = (
        reverse("qualifications:person", args=[vasko.pk]),
        reverse("qualifications:curricula"),
    )
    counts = []
    for more in (3, 57):
        Qualification.objects.bulk_create(
            Qualification(person=vasko, created_by=vasko, changed_by=vasko, **line_entry())
            for _ in range(more)
        )
        issue(vasko)
        for page in pages:
            client.get(page)
            with CaptureQueriesContext(connection) as asked:
                client.get(page)
            counts.append(len(asked))
    assert counts[:2] == counts[2:]


def test_the_api_does_the_same(vasko):
    client = as_person(vasko)

    def url(name, **keys):
        return reverse(f"qualifications_api:{name}", kwargs={"person_id": vasko.pk, **keys})

    def send(where, body):
        return client.post(where, body, content_type="application/json")

    key = str(new_id())
    made = send(url("lines"), {"id": key, "version": 0, **line_entry()})
    assert (made.status_code, made.json()["number"]) == (201, "4471")
    issued = send(url("versions"), {"id": str(new_id())})
    assert (issued.status_code, issued.json()["number"]) == (201, 1)
    gone = send(url("void-line", record_id=key), {"version": 1, "reason": "twice"})
    assert gone.json()["voided_at"]
    assert client.get(url("lines")).json() == []
    [listed] = client.get(url("versions")).json()
    assert listed == issued.json()
    assert as_person(make_staff(Role.ADMINISTRATOR)).get(url("lines")).status_code == 403


def test_two_versions_issued_at_once_never_have_one_number(at_once):
    doctor, boss = make_staff(Role.PATHOLOGIST), make_staff(Role.SUPERVISOR)
    add_line(doctor)
    found = at_once(
        actions.issue_curriculum,
        by=[doctor, boss],
        each=[{"record_id": new_id()}, {"record_id": new_id()}],
        meet_after="cases.qualifications.actions.digest_of",
        person_id=doctor.pk,
    )
    assert sorted(one.code for one in found) == ["done", "invalid"]
    refused = next(one.error for one in found if one.code == "invalid")
    assert "Another version was issued just now" in str(refused)
    assert [one.number for one in CurriculumVersion.objects.all()] == [1]
    assert issue(boss, doctor).number == 2
