"""Pages, first page and API of dates in court."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.actions import restrict_case
from cases.appearances import actions
from cases.appearances.models import Appearance
from cases.exhibits import actions as exhibits
from cases.worklists import sections_for
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.appearances.builders import appear, called, in_days, was_heard
from tests.builders import CASE_STAFF, as_person, make_case, make_staff
from tests.cases.test_assignment import restricted_case
from tests.evidence.pictures import add, picture_bytes
from tests.exhibits.builders import make_set
from tests.packets.builders import make_request
from tests.results.builders import report_of

pytestmark = pytest.mark.django_db


def url(name, case, **keys):
    return reverse(f"appearances:{name}", kwargs={"case_id": case.pk, **keys})


def form_of(witness, **fields):
    said = called(witness, **fields)
    said |= {"witness": str(witness.pk), "begins_at": said["begins_at"].isoformat()}
    return {"record_id": str(new_id()), "version": "0", "request_key": str(new_id()), **said}


def own_section(person):
    found = [one for one in sections_for(person) if one.key == "own-appearances"]
    return found[0].rows(person, timezone.now())


@pytest.mark.parametrize("role", CASE_STAFF)
def test_every_role_of_the_case_sees_the_dates_and_is_offered_its_own_acts(role, clerk):
    case, person = make_case(), make_staff(role)
    one = appear(clerk, case, make_staff(Role.PATHOLOGIST))
    page = as_person(person).get(url("appearances", case)).content.decode()
    assert "Trial, Tarn County Superior Court" in page
    assert "Record a date" in page
    offered = url("move", case, record_id=one.pk) in page
    assert offered is (role in {Role.RECORDS_CLERK, Role.SUPERVISOR})


def test_a_date_is_recorded_moved_told_and_withdrawn_by_its_pages(client, clerk, vasko):
    client.force_login(clerk)
    case = make_case(pathologist=vasko)
    asked = make_request(case, clerk)
    filled = form_of(vasko, request=str(asked.pk))
    for _ in range(2):
        assert client.post(url("add", case), filled).status_code == 302
    one = Appearance.objects.get()
    assert (one.request, one.begins_at) == (asked, in_days(5))
    wrong = client.post(url("add", case), form_of(vasko, court="", kind="hearing"))
    assert wrong.status_code == 422
    assert "Name the court" in wrong.content.decode()
    keys = {"record_id": str(one.pk), "version": "1", "request_key": str(new_id())}
    moved = {**keys, "begins_at": in_days(9).isoformat(), "place": one.place, "reason": "away"}
    assert client.post(url("move", case, record_id=one.pk), moved).status_code == 302
    stale = {**moved, "request_key": str(new_id()), "begins_at": in_days(4).isoformat()}
    assert client.post(url("move", case, record_id=one.pk), stale).status_code == 409
    page = client.get(url("appearances", case)).content.decode()
    assert "away" in page
    assert "in 9 days" in page
    early = {**keys, "version": "2", "request_key": str(new_id()), "went": "well"}
    answer = client.post(url("testimony", case, record_id=one.pk), early)
    assert answer.status_code == 422
    assert "has not begun yet" in answer.content.decode()
    over = was_heard(clerk, case, witness=vasko, went="They asked about the ladder.")
    page = client.get(url("appearances", case)).content.decode()
    assert "They asked about the ladder." in page
    gone = {"version": str(over.version), "reason": "twice", "request_key": str(new_id())}
    assert client.post(url("withdraw", case, record_id=over.pk), gone).status_code == 302
    assert "They asked about" not in client.get(url("appearances", case)).content.decode()


def test_what_overlaps_is_said_where_it_is_saved_and_in_the_lists(client, clerk, vasko):
    boss = make_staff(Role.SUPERVISOR)
    hidden = restricted_case(boss, vasko)
    appear(boss, hidden, vasko, begins_at=in_days(5, "11:00"), leave_at=in_days(5, "10:30"))
    case = make_case()
    client.force_login(clerk)
    sent = form_of(vasko)
    told = client.post(url("add", case), sent)
    assert told.status_code == 422
    assert "Overlaps: Another date in court" in told.content.decode()
    assert "Check this before it is recorded" in told.content.decode()
    seen = str(told.context["form"]["seen"].value())
    # Saved again, once it was read; sent twice, it is the same date.
    for _ in range(2):
        answer = client.post(url("add", case), {**sent, "seen": seen})
        assert answer.status_code == 302
    assert Appearance.objects.filter(case=case).count() == 1
    saved = client.get(url("appearances", case)).content.decode()
    # From 09:00 for two hours, and at 10:30 the other begins: of which case is not said.
    assert "Overlaps: Another date in court" in saved
    listed = client.get(reverse("appearances:office")).content.decode()
    assert "Another date in court" in listed
    assert (hidden.number or "") not in listed
    client.force_login(vasko)
    assert f"case {hidden.number}" in client.get(reverse("appearances:office")).content.decode()


def test_the_first_page_of_the_witness_says_what_is_not_ready_until_it_is(client, clerk, vasko):
    case = make_case(state="open")
    appear(clerk, case, vasko, leave_at=in_days(5, "08:10"))
    appear(clerk, make_case(), make_staff(Role.PATHOLOGIST))
    [row] = own_section(vasko)
    assert row.when.startswith("in 5 days")
    assert (row.urgency, [words for words, _ in row.lacks][:2]) == (
        "attention", ["report not signed", "no exhibit set"],
    )  # fmt: skip
    client.force_login(vasko)
    page = client.get("/").content.decode()
    assert "Your dates in court" in page
    for words, where in row.lacks:
        assert words in page
        assert client.get(where).status_code == 200
    add(vasko, case, picture_bytes(1), shows="Chest")
    photograph = case.photograph_set.get()
    made = exhibits.make_exhibit_set(
        clerk, case_id=case.pk, record_id=new_id(), entry={"title": "Trial"}
    )
    one = Appearance.objects.get(witness=vasko)
    Appearance.objects.filter(pk=one.pk).update(exhibit_set=made)
    assert lacking(vasko, "exhibit") == ["exhibit set empty"]
    shown = exhibits.add_exhibit(
        clerk, case_id=case.pk, set_id=made.pk, record_id=new_id(), photograph_id=photograph.pk,
        entry={"number": "1", "caption": "Chest", "plain_words": ""},
    )  # fmt: skip
    assert lacking(vasko, "exhibit") == ["1 exhibit without plain words"]
    type(shown).objects.filter(pk=shown.pk).update(plain_words="The chest.")
    assert lacking(vasko, "exhibit") == []
    removed = exhibits.add_exhibit(
        clerk, case_id=case.pk, set_id=made.pk, record_id=new_id(), entry={},
        photograph_id=add(vasko, case, picture_bytes(2), shows="Back").pk,
    )  # fmt: skip
    exhibits.remove_exhibit(
        clerk, case_id=case.pk, exhibit_id=removed.pk, version=1, reason="not needed"
    )
    assert lacking(vasko, "exhibit") == [], "of what was removed nothing is lacking"
    assert lacking(vasko, "report") == ["report not signed"]
    case.state, case.signed_at = "signed", timezone.now()
    case.save()
    assert lacking(vasko, "report") == []
    report_of(vasko, case)
    assert lacking(vasko, "result") == ["result without an addendum"]
    Appearance.objects.filter(pk=one.pk).update(
        begins_at=timezone.now() - timedelta(minutes=1), leave_at=None
    )
    [row] = own_section(vasko)
    assert [words for words, _ in row.lacks] == ["how it went"]
    was_heard(vasko, case, begins_at=in_days(-2))
    assert len(own_section(vasko)) == 1


def test_a_date_for_which_nothing_is_missing_says_so(client, clerk, vasko):
    case = make_case(state="open", pathologist=vasko)
    appear(clerk, case, vasko, kind="meeting", court="")
    client.force_login(vasko)
    ready = "Nothing that the office checks is missing."
    assert ready not in client.get(url("appearances", case)).content.decode()
    case.state, case.signed_at = "signed", timezone.now()
    case.save()
    assert ready in client.get(url("appearances", case)).content.decode()
    # What takes the witness elsewhere is no readiness.
    appear(clerk, make_case(), vasko)
    assert ready not in client.get(url("appearances", case)).content.decode()


def lacking(person, about):
    return [words for words, _ in own_section(person)[0].lacks if about in words]


def test_a_meeting_beforehand_needs_no_exhibit_set(vasko):
    met = appear(vasko, make_case(), kind="meeting", court="")
    assert lacking(vasko, "exhibit") == []
    # Of a case that was closed to its witness the first page tells nothing.
    type(met.case).objects.filter(pk=met.case_id).update(restricted=True)
    assert own_section(vasko) == []


def test_the_offices_list_pages_by_key_filters_and_exports(client, clerk, vasko, monkeypatch):
    monkeypatch.setattr("cases.queries.pages.PAGE", 2)
    case = make_case()
    # Two begin at once, one of them on either page.
    for days in (5, 5, 7):
        appear(clerk, case, vasko, begins_at=in_days(days))
    appear(clerk, case, clerk, begins_at=in_days(4), kind="deposition")
    was_heard(clerk, case, witness=vasko)
    client.force_login(clerk)
    address = reverse("appearances:office")
    first = client.get(address)
    assert "4 dates, ahead" in first.content.decode()
    days = [one.row.begins_at for one in first.context["rows"]]
    second = client.get(address + first.context["links"]["next"])
    days += [one.row.begins_at for one in second.context["rows"]]
    assert days == [in_days(n) for n in (4, 5, 5, 7)]
    assert "Not ready: report not signed, no exhibit set" in second.content.decode()
    assert second.context["links"]["next"] == ""
    assert client.get(address + "?after=nonsense").status_code == 404
    assert len(client.get(address + "?own=1").context["rows"]) == 1
    assert [one.row.state for one in client.get(address + "?state=over").context["rows"]] == [
        "done"
    ]
    lines = b"".join(client.get(reverse("appearances:export") + "?state=all").streaming_content)
    assert len(lines.decode().splitlines()) == 6
    client.force_login(make_staff(Role.ADMINISTRATOR))
    assert client.get(address).status_code == 403
    assert client.get(reverse("appearances:export")).status_code == 403


def test_pages_ask_as_much_for_sixty_dates_as_for_three(client, clerk):
    case = make_case()
    into = make_set(clerk, case)
    client.force_login(clerk)
    pages = (url("appearances", case), reverse("appearances:office"), "/")
    counts = []
    for more in (3, 57):
        # Each day twice: what overlaps is told from the first three on.
        Appearance.objects.bulk_create(
            Appearance(
                case=case, created_by=clerk, changed_by=clerk, exhibit_set=into,
                **called(clerk, begins_at=in_days(20 + n // 2)),
            )
            for n in range(more)
        )  # fmt: skip
        for page in pages:
            client.get(page)
            with CaptureQueriesContext(connection) as asked:
                client.get(page)
            counts.append(len(asked))
    assert counts[:3] == counts[3:]


def test_the_api_does_the_same(client, clerk, vasko):
    client.force_login(clerk)
    case = make_case()

    def send(name, body, **keys):
        where = reverse(f"appearances_api:{name}", kwargs={"case_id": case.pk, **keys})
        return client.post(where, body, content_type="application/json")

    sent = {**called(vasko), "id": str(new_id()), "version": 0, "witness": str(vasko.pk)}
    made = send("appearances", sent)
    assert (made.status_code, made.json()["state"]) == (201, "expected")
    key = sent["id"]
    moved = send(
        "move-appearance",
        {"version": 1, "begins_at": in_days(-1).isoformat(), "reason": "earlier"},
        record_id=key,
    )
    assert (moved.json()["state"], moved.json()["moves"][0]["why"]) == ("moved", "earlier")
    told = send("appearance-testimony", {"version": 2, "stand_minutes": 45}, record_id=key)
    assert (told.json()["state"], told.json()["stand_minutes"]) == ("done", 45)
    late = send("cancel-appearance", {"version": 3, "reason": "x"}, record_id=key)
    assert late.status_code == 422
    gone = send("void-appearances", {"version": 3, "reason": "twice"}, record_id=key)
    assert gone.json()["voided_at"]
    listed = client.get(reverse("appearances_api:appearances", kwargs={"case_id": case.pk}))
    assert listed.json() == []
    assert send("appearances", {**sent, "id": str(new_id()), "kind": "tea"}).status_code == 422


def test_what_was_asked_for_waits_until_somebody_says_what_was_done(clerk, vasko):
    def waiting(person):
        [section] = [one for one in sections_for(person) if one.key == "asked-in-court"]
        return [(row.title, row.lacks[0][1]) for row in section.rows(person, timezone.now())]

    case = make_case(state="signed")
    done = was_heard(vasko, case, asked_afterward="A copy of photograph 9, for the defense.")
    was_heard(vasko, case)
    settle = url("settle", case, record_id=done.pk)
    expected = [("A copy of photograph 9, for the defense.", settle)]
    assert waiting(vasko) == waiting(clerk) == expected
    assert waiting(make_staff(Role.PATHOLOGIST)) == [], "not a colleague's"
    hidden = make_case()
    was_heard(clerk, hidden, witness=vasko, asked_afterward="Another picture.")
    boss = make_staff(Role.SUPERVISOR)
    restrict_case(boss, case_id=hidden.pk, version=hidden.version, reason="asked for")
    assert waiting(vasko) == waiting(clerk) == expected, "not of a case that is closed to them"
    client = as_person(clerk)
    page = url("appearances", case)
    assert settle in client.get(page).content.decode()
    assert "for the defense" in client.get(settle).content.decode()
    said = {"version": str(done.version), "settled": "  ", "request_key": str(new_id())}
    assert client.post(settle, said).status_code == 422
    said |= {"settled": "Sent 3 November.", "request_key": str(new_id())}
    assert as_person(make_staff(Role.PATHOLOGIST)).post(settle, said).status_code in {403, 422}
    assert client.post(settle, said).status_code == 302
    done.refresh_from_db()
    assert (done.asked_settled, done.asked_settled_by) == ("Sent 3 November.", clerk)
    assert waiting(vasko) == waiting(clerk) == []
    shown = client.get(page).content.decode()
    assert "Sent 3 November." in shown and settle not in shown
    again = {"version": str(done.version), "settled": "Twice", "request_key": str(new_id())}
    assert client.post(settle, again).status_code == 422
    # How it went is corrected: the same words stay done, other ones are open again.
    keys = {"case_id": case.pk, "record_id": done.pk, "reason": "misread"}
    done = actions.record_testimony(
        vasko, **keys, version=done.version, entry={"stand_minutes": 70}
    )
    assert done.asked_settled and waiting(vasko) == []
    done = actions.record_testimony(
        vasko, **keys, version=done.version, entry={"asked_afterward": "Photograph 10."}
    )
    assert not done.asked_settled and waiting(vasko) == [("Photograph 10.", settle)]
    sent = {"version": done.version, "settled": "Sent."}
    api = reverse(
        "appearances_api:appearance-asked", kwargs={"case_id": case.pk, "record_id": done.pk}
    )
    answer = client.post(api, sent, content_type="application/json")
    assert (answer.status_code, answer.json()["asked_settled"]) == (200, "Sent.")
