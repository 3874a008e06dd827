"""The office's own wording of reports, and findings whose own text no longer fits their data."""

from __future__ import annotations

from itertools import islice

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.review import actions as review
from cases.review.content import report_content
from cases.review.edited import edited_apart
from findings import actions as findings_actions
from findings.models import OfficeWording
from findings.queries import findings_of, standard_sentence_of
from findings.words.actions import restore_wording, reword
from findings.words.queries import wordings
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_staff
from tests.findings.builders import make_examination, make_finding, place_point
from tests.findings.test_pairs_and_patterns import AREA

pytestmark = pytest.mark.django_db
KEY, OWN = "term.contusion", "bruise"


@pytest.fixture
def vasko():
    return make_staff(Role.PATHOLOGIST, name="I. Vasko")


def say(actor, words=OWN, key=KEY, **more):
    return reword(actor, record_id=new_id(), key=key, words=words, **more)


def test_a_wording_is_changed_once_and_the_trail_says_by_whom(vasko):
    key = new_id()
    first = reword(vasko, record_id=key, key=KEY, words=OWN)
    assert reword(vasko, record_id=key, key=KEY, words=f" {OWN} ").pk == first.pk
    with pytest.raises(Conflict):
        reword(vasko, record_id=key, key=KEY, words="ecchymosis")
    event = AuditEvent.objects.get(table="findings_officewording")
    assert (event.actor_name, event.act) == (vasko.display_name, "reword")


def test_the_next_takes_its_place_only_where_it_was_read(vasko):
    first = say(vasko)
    with pytest.raises(Refused, match="it is “bruise” now") as refusal:
        say(vasko, "bruising")
    assert refusal.value.field == "words"
    with pytest.raises(Refused, match="in these words already"):
        say(vasko, OWN, replaces=first.pk)
    second = say(vasko, "bruising", replaces=first.pk)
    with pytest.raises(Refused, match="“bruising”"):
        say(vasko, "ecchymosis", replaces=first.pk)
    assert [one.words for one in OfficeWording.objects.active()] == ["bruising"]
    with pytest.raises(StaleRecord):
        restore_wording(vasko, wording_id=second.pk, version=2, reason="Asked for")
    restore_wording(vasko, wording_id=second.pk, version=1, reason="Asked for")
    with pytest.raises(Refused, match="it is the standard words now"):
        say(vasko, "bruise", replaces=second.pk)
    say(vasko)


def test_what_is_wrong_or_unknown_is_refused(vasko):
    with pytest.raises(Refused, match="standard wording"):
        say(vasko, "contusion")
    with pytest.raises(NotKnown):
        say(vasko, key="term.unheard-of")
    with pytest.raises(NotKnown):
        restore_wording(vasko, wording_id=new_id(), version=1, reason="None")


@pytest.mark.parametrize(
    "role", [Role.INVESTIGATOR, Role.SUPERVISOR, Role.RECORDS_CLERK, Role.EVIDENCE_TECHNICIAN]
)
def test_only_a_pathologist_changes_the_wording(role, vasko):
    own, other = say(vasko), make_staff(role)
    with pytest.raises(NotAllowed):
        say(other, "bruising", replaces=own.pk)
    with pytest.raises(NotAllowed):
        restore_wording(other, wording_id=own.pk, version=1, reason="No")
    page = as_person(other).get(reverse("findings:reword", args=[KEY])).content.decode()
    assert ("bruise" in page, "Use this wording" in page) == (True, False)


def test_the_pages_show_change_and_restore(vasko):
    page, address = as_person(vasko), reverse("findings:reword", args=[KEY])
    assert page.get(reverse("findings:reword", args=["term.unheard-of"])).status_code == 404
    refused = page.post(address, {"words": "contusion"})
    assert (refused.status_code, "standard wording" in refused.content.decode()) == (422, True)
    assert page.post(address, {"words": OWN}).status_code == 302
    listed = page.get(reverse("findings:wordings")).content.decode()
    assert "1 is the office’s own" in listed
    assert "standard: contusion" in listed
    own = OfficeWording.objects.get()
    late = page.post(address, {"words": "bruising"})
    assert (late.status_code, f'value="{own.pk}"' in late.content.decode()) == (422, True)
    gone = reverse("findings:restore-wording", args=[own.pk])
    assert page.post(gone, {"version": 1, "reason": ""}).status_code == 422
    assert page.post(gone, {"version": 1, "reason": "unused"}).status_code == 302
    assert page.get(gone).status_code == 404
    assert f"withdrawn by {vasko.display_name}: unused" in page.get(address).content.decode()


def test_the_api_reads_and_changes_them(vasko):
    api = as_person(vasko)
    rows = {one["key"]: one for one in api.get("/api/findings/wording/").json()}
    assert rows["sentence.marks-within"]["blanks"] == ["count"]
    assert rows[KEY] == {
        "key": KEY, "standard": "contusion", "where": "a finding’s term", "blanks": [],
        "own": None, "own_id": None,
    }  # fmt: skip
    body = {"id": str(new_id()), "key": KEY, "words": OWN}
    made = api.post("/api/findings/wording/", body, content_type="application/json")
    assert (made.status_code, made.json()["words"]) == (201, OWN)
    back = f"/api/findings/wording/{body['id']}/standard/"
    sent = {"version": 1, "reason": "unused"}
    assert api.post(back, sent, content_type="application/json").status_code == 200


def texts(content):
    return " ".join(p["text"] for s in content["sections"] for p in s["passages"])


def test_reports_say_it_from_now_on_and_what_is_in_review_as_it_was_sent(ready):
    case, vasko, thorne = ready
    before = texts(report_content(case.pk))
    number = next(s for s in ("Numbers in brackets", "numbers in brackets") if s in before)
    own = say(vasko, "P marks a photograph", key="sentence.numbers")
    assert number not in texts(report_content(case.pk))
    assert "P marks a photograph." in texts(report_content(case.pk))
    draft = review.submit_report(
        vasko, case_id=case.pk, record_id=new_id(), version=case.report.version
    )
    restore_wording(vasko, wording_id=own.pk, version=1, reason="Asked for")
    later = say(vasko, "P is a photograph", key="sentence.numbers")
    assert report_content(case.pk) == draft.content
    review.sign_off(
        thorne, case_id=case.pk, record_id=new_id(), draft_id=draft.pk, sha256=draft.sha256
    )
    assert later.words in texts(report_content(case.pk))  # unsent words; the signed ones are kept
    draft.refresh_from_db()
    assert "P marks a photograph." in texts(draft.content)


def test_an_own_text_is_shown_with_what_the_data_said_then_and_say_now(db, vasko):
    examination = make_examination()
    finding = make_finding(examination, sentence="There is a bruise.", seen_as="blue")
    assert finding.sentence_from == standard_sentence_of(finding)
    assert "blue" in finding.sentence_from
    pathologist, case = examination.pathologist, examination.case

    def change(finding, **entry):
        return findings_actions.change_finding(
            pathologist, case_id=case.pk, finding_id=finding.pk, version=finding.version,
            entry=entry,
        )  # fmt: skip

    assert edited_apart(findings_of(case)) == []
    changed = change(finding, seen_as="green")
    (apart,) = edited_apart(findings_of(case))
    said = {(piece.of, piece.words.rstrip(".")) for piece in apart.pieces}
    assert {("before", "blue"), ("after", "green")} <= said
    chart = as_person(pathologist).get(
        reverse("findings:chart", args=[case.pk]), {"finding": finding.pk}
    )
    report = as_person(pathologist).get(reverse("review:report", args=[case.pk]))
    for page in (chart.content.decode(), report.content.decode()):
        assert "<del>" in page
        assert "data changed after" in page
    checked = change(changed, sentence_checked=True)
    assert edited_apart(findings_of(case)) == []
    gone = change(checked, sentence="")
    assert (gone.sentence_from, edited_apart(findings_of(case))) == ("", [])


def test_a_mark_that_is_drawn_later_shows_too(db):
    """The finding's own version stays, and what its data say is another."""
    examination = make_examination()
    finding = make_finding(examination, sentence="Many marks.", marks=[])
    place_point(finding, kind="pattern", points=AREA, count_low=4, count_high=None)
    (apart,) = edited_apart(findings_of(examination.case))
    assert "at least 4 separate marks" in " ".join(
        piece.words for piece in apart.pieces if piece.of == "after"
    )


def test_a_text_from_before_the_comparison_is_only_known_to_be_older(db):
    examination = make_examination()
    finding = make_finding(examination, sentence="There is a bruise.")
    type(finding).objects.filter(pk=finding.pk).update(sentence_from="", sentence_for_version=9)
    (apart,) = edited_apart(findings_of(examination.case))
    assert apart.pieces == ()


def test_the_page_takes_as_many_statements_for_sixty_wordings_as_for_three(vasko):
    browser, counts = as_person(vasko), []
    keys = (one.key for rows in wordings().values() for one in rows)
    for more in (3, 57):
        OfficeWording.objects.bulk_create(
            OfficeWording(key=key, words="own words", created_by=vasko, changed_by=vasko)
            for key in islice(keys, more)
        )
        with CaptureQueriesContext(connection) as asked:
            page = browser.get(reverse("findings:wordings")).content.decode()
        counts.append(len(asked))
    assert counts[0] == counts[1] and page.count("own words") >= 60
