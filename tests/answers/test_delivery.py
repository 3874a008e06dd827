"""How an answer leaves the office: recorded, fetched with a code, called back, and noted."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.core.signals import request_finished
from django.db import close_old_connections
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from cases.answers import pick_up
from cases.answers.comparing import Differs
from cases.answers.delivering import call_back_delivery, deliver_answer
from cases.answers.models import Answer, Delivery, Opening
from cases.answers.queries import answers_to_hand_over
from cases.answers.since import differs_now
from cases.court.models import Release, RequestCase
from cases.court.timeline import time_line
from cases.decisions.actions import leave_out_records, note_stop, settle_stop
from cases.decisions.items import sent_earlier
from cases.decisions.models import Ground, Reach
from cases.models import Case
from cases.packets import built
from cases.review.models import Addendum
from me_office.accounts.roles import Role
from me_office.audit.errors import NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from me_office.audit.records import save_new
from tests.builders import make_case, make_staff
from tests.decisions.builders import approve, decide, picked, reaching, second_person
from tests.packets.builders import altered, make_clerk

pytestmark = pytest.mark.django_db


@pytest.fixture
def clerk():
    return make_clerk()


def deliver(answer, who, method="download", *, days=3, key=None, **entry):
    answer.request.refresh_from_db()
    end = timezone.now() + timedelta(days=days) if method == "download" else None
    said = {"method": method, "to_whom": "County attorney", "ends_at": end, "answers": "whole"}
    return deliver_answer(
        who, case_id=answer.case_id, answer_id=answer.pk, record_id=key or new_id(),
        version=answer.request.version, entry={**said, **entry},
    )  # fmt: skip


def address(delivery):
    return reverse("answers:pick-up", args=[delivery.token])


def enter(client, delivery, code=None, token=None):
    at = reverse("answers:pick-up", args=[token or delivery.token])
    return client.post(at, {"code": code or delivery.code})


def close(response):
    """End a response as a server does, without the test's connection."""
    request_finished.disconnect(close_old_connections)
    response.close()
    request_finished.connect(close_old_connections)


def noted(delivery):
    return list(
        Opening.objects.filter(delivery=delivery).order_by("at").values_list("what", flat=True)
    )


def test_a_delivery_is_a_release_and_answers_its_request(answer, clerk):
    assert [one.pk for one in answers_to_hand_over(clerk, most=5)] == [answer.pk]
    made = deliver(answer, clerk, "mail", answers="part", still_due="The slides.")
    assert answers_to_hand_over(clerk, most=5) == []
    release = Release.objects.get(packet_id=answer.pk)
    assert (release.packet_sha256, release.method, made.release_id) == (
        answer.sha256, "mail", release.pk,
    )  # fmt: skip
    answer.request.refresh_from_db()
    assert answer.request.state == "open"
    again = deliver(answer, clerk)
    assert again.release_id == release.pk, "another delivery of the same answer is no release"
    assert Release.objects.filter(packet_id=answer.pk).count() == 1
    [earlier] = sent_earlier([answer.case])
    assert "to County attorney" in earlier.words
    assert ("custody record", str(answer.case_id)) in earlier.items
    assert len(earlier.items) == 4


def test_whoever_has_address_and_code_fetches_the_packet_and_each_step_is_noted(answer, clerk):
    made = deliver(answer, clerk)
    stranger = Client()
    asked = stranger.get(address(made))
    assert (asked.status_code, noted(made)) == (200, [])
    assert enter(stranger, made, made.code.lower()).status_code == 302
    told = stranger.get(address(made)).content.decode()
    assert answer.sha256 in told
    assert answer.case.label not in told
    fetched = stranger.get(reverse("answers:fetch", args=[made.token]))
    assert len(b"".join(fetched.streaming_content)) == answer.size_bytes
    assert noted(made) == ["code", "began", "whole"]
    rows = Opening.objects.filter(delivery=made)
    assert len(set(rows.values_list("visit", flat=True))) == 1
    assert set(rows.values_list("address", flat=True)) == {"127.0.0.1"}
    part = stranger.get(reverse("answers:fetch", args=[made.token]), headers={"Range": "bytes=10-"})
    assert part.status_code == 206
    close(part)
    assert noted(made)[3:] == ["began", "broken off"]
    told = [one.what for one in time_line(clerk, answer.request).acts if not one.transaction]
    assert len(told) == 5 and f"downloaded whole, download for {made.to_whom}" in told


def test_without_the_code_the_page_tells_nothing_and_every_wrong_way_alike(answer, clerk):
    made = deliver(answer, clerk)
    ended, back = deliver(answer, clerk), deliver(answer, clerk)
    Delivery.objects.filter(pk=ended.pk).update(ends_at=timezone.now() - timedelta(seconds=1))
    call_back_delivery(
        clerk, case_id=answer.case_id, delivery_id=back.pk, version=1, reason="Sent to another."
    )
    said = set()
    for delivery, code, token in (
        (made, "AAAAAAAA", None),
        (ended, None, None),
        (back, None, None),
        (made, None, "no-such-address"),
    ):
        client = Client()
        wrong = enter(client, delivery, code, token)
        page = wrong.content.decode()
        for private in (answer.case.label, "County attorney", answer.sha256, str(answer.pk)):
            assert private not in page
        body = page.partition("<h1>")[2].partition("</form>")[0]
        for own in (made, ended, back):
            body = body.replace(own.code, "CODE")
        said.add((wrong.status_code, body.replace("AAAAAAAA", "CODE").split("csrf")[0]))
        assert (
            client.get(reverse("answers:fetch", args=[token or delivery.token])).status_code == 302
        )
    assert len(said) == 1
    assert noted(made) == ["wrong code"]


def test_guesses_are_slowed_and_the_right_code_waits_too(answer, clerk):
    made = deliver(answer, clerk)
    client = Client()
    codes = [enter(client, made, f"AAAAAAA{n}").status_code for n in range(2, 9)]
    assert codes[:5] == [422] * 5
    assert codes[5:] == [429] * 2
    assert enter(client, made).status_code == 429


def test_one_delivery_does_not_open_another(answer, clerk):
    one, other = deliver(answer, clerk), deliver(answer, clerk)
    client = Client()
    enter(client, one)
    client.cookies["pick-up"]["path"] = "/"
    assert client.get(reverse("answers:fetch", args=[other.token])).status_code == 302


def test_a_code_opens_for_an_hour_and_is_asked_for_again(answer, clerk, monkeypatch):
    made = deliver(answer, clerk)
    client = Client()
    enter(client, made)
    fetch = reverse("answers:fetch", args=[made.token])
    assert client.head(fetch).status_code == 200
    monkeypatch.setattr(pick_up, "TICKET_SECONDS", -1)
    assert client.head(fetch).status_code == 302


def test_an_address_that_is_called_back_stops_a_download_that_is_under_way(
    answer, clerk, monkeypatch
):
    made = deliver(answer, clerk)
    monkeypatch.setattr(pick_up, "LOOK_AGAIN_BYTES", 4096)
    client = Client()
    enter(client, made)
    fetched = client.get(reverse("answers:fetch", args=[made.token]))
    pieces = iter(fetched.streaming_content)
    next(pieces)
    call_back_delivery(
        clerk, case_id=answer.case_id, delivery_id=made.pk, version=1, reason="Wrong person."
    )
    with pytest.raises(pick_up.CalledBack):
        list(pieces)
    close(fetched)
    assert noted(made) == ["code", "began", "called back"]
    assert client.get(reverse("answers:fetch", args=[made.token])).status_code == 302
    with pytest.raises(Refused, match="already"):
        call_back_delivery(
            clerk, case_id=answer.case_id, delivery_id=made.pk, version=2, reason="Again."
        )


def test_no_more_downloads_at_once_than_leave_threads_to_the_office(answer, clerk):
    made = deliver(answer, clerk)
    client = Client()
    enter(client, made)
    fetch = reverse("answers:fetch", args=[made.token])
    parts = [
        client.get(fetch, headers={"Range": f"bytes={n}-"}) for n in range(pick_up.MOST_AT_ONCE)
    ]
    assert [one.status_code for one in parts] == [206] * pick_up.MOST_AT_ONCE
    more = client.get(fetch)
    assert (more.status_code, more.headers["Retry-After"]) == (429, "60")
    assert "Try again in a minute" in more.content.decode()
    assert client.head(fetch).status_code == 200, "it sends nothing"
    assert noted(made) == ["code", "began", "began"], "one that is not sent did not begin"
    close(parts[0])
    again = client.get(fetch)
    assert len(b"".join(again.streaming_content)) == answer.size_bytes
    close(again)
    close(parts[1])
    assert len(pick_up._under_way) == 0


def test_address_and_code_are_told_once_and_kept_nowhere(answer, clerk, monkeypatch):
    key = new_id()
    made = deliver(answer, clerk, key=key)
    end = made.ends_at
    again = deliver(answer, clerk, key=key, ends_at=end)
    assert (again.pk, again.token, again.code) == (made.pk, "", "")
    monkeypatch.setattr(built, "holds", None)
    assert deliver(answer, clerk, key=key, ends_at=end).pk == made.pk, "the file is not read again"
    kept = Delivery.objects.get(pk=key)
    assert made.token not in str(vars(kept))
    assert made.code not in str(vars(kept))
    events = str(list(AuditEvent.objects.filter(table="answers_delivery").values("changes")))
    assert made.token not in events
    assert kept.password not in events


def test_who_may_not_deliver_and_what_must_not_leave(answer, clerk):
    with pytest.raises(NotAllowed):
        deliver(answer, make_staff(Role.PATHOLOGIST))
    with pytest.raises(Refused, match="later end"):
        deliver(answer, clerk, days=-1)
    with pytest.raises(Refused, match="90 days"):
        deliver(answer, clerk, days=91)
    with pytest.raises(Refused, match="until when"):
        deliver(answer, clerk, ends_at=None)
    with altered(answer), pytest.raises(Refused, match="must not leave"):
        deliver(answer, clerk)
    with pytest.raises(StaleRecord):
        deliver_answer(
            clerk, case_id=answer.case_id, answer_id=answer.pk, record_id=new_id(), version=99,
            entry={"method": "mail", "to_whom": "X", "answers": "whole"},
        )  # fmt: skip


def test_an_answer_that_was_decided_otherwise_since_does_not_leave(answer, clerk, client):
    decide(
        answer.request.demands.get(), clerk, "withhold", "P 1", ground=Ground.objects.get().pk,
        reason="A person shown asked for it.",
    )  # fmt: skip
    with pytest.raises(Refused, match="has changed since this answer was built"):
        deliver(answer, clerk, "mail")
    approve(answer.request, second_person())
    with pytest.raises(Refused, match="approved anew"):
        deliver(answer, clerk, "mail")
    with pytest.raises(Refused, match="P 1 is withheld now"):
        deliver(answer, second_person(), "mail", although="It is the same.")
    # Nor is it fetched here, to be carried out by hand: its page says that it does not leave.
    client.force_login(clerk)
    fetched = client.get(reverse("answers:download-answer", args=[answer.case_id, answer.pk]))
    assert fetched.status_code >= 400 and "P 1 is withheld now" in fetched.content.decode()
    page = client.get(reverse("answers:answer", args=[answer.case_id, answer.pk]))
    assert "It does not leave the office" in page.content.decode()
    assert "answer.zip" not in page.content.decode()


def test_one_who_decided_none_of_it_delivers_what_was_only_approved_anew_and_says_why(
    answer, clerk, client
):
    demand, boss = answer.request.demands.get(), second_person()
    reaching(demand, clerk, "history")
    decide(demand, clerk, "withhold", items=picked(demand)[-1:], ground=Ground.objects.get().pk)
    approve(answer.request, boss)
    with pytest.raises(Refused, match="somebody who may approve"):
        deliver(answer, clerk, "mail", although="The same goes out.")
    client.force_login(boss)
    page = client.get(reverse("answers:deliver", args=[answer.case_id, answer.pk]))
    assert "It was decided and approved anew." in page.content.decode()
    assert "Why it may go out although it has changed" in page.content.decode()
    made = deliver(answer, boss, "mail", although="The same goes out.")
    assert made.differed == "It was decided and approved anew."
    asked = client.get(reverse("court:request", args=[answer.case_id, answer.request_id]))
    assert "As it was decided:" in asked.content.decode()
    assert "Before it can be approved" not in asked.content.decode()
    shown = client.get(reverse("answers:answer", args=[answer.case_id, answer.pk]))
    assert "The same goes out." in shown.content.decode()


def test_what_a_stop_covers_leaves_no_second_time_and_its_address_opens_nothing_until_settled(
    answer, clerk, client
):
    made, boss = deliver(answer, clerk), second_person()
    stranger = Client()
    assert enter(stranger, made).status_code == 302
    stop = note_stop(
        clerk, case_id=answer.case_id, record_id=new_id(),
        entry={"kind": "sealed", "why": "Order of the superior court", "until": None},
    )  # fmt: skip
    for who in (clerk, boss):
        with pytest.raises(Refused, match="sealed by a court"):
            deliver(answer, who, "mail", although="Counsel said so.")
    assert stranger.get(reverse("answers:fetch", args=[made.token])).status_code == 302
    late = enter(Client(), made)
    assert (late.status_code, "does not open anything" in late.content.decode()) == (422, True)
    assert noted(made) == ["code", "kept back"]
    client.force_login(clerk)
    for name, key in (("answers:answer", answer.pk), ("court:request", answer.request_id)):
        said = client.get(reverse(name, args=[answer.case_id, key])).content.decode()
        assert "sealed by a court" in said
        assert "closed for now" in said
    deliver_page = client.get(reverse("answers:deliver", args=[answer.case_id, answer.pk]))
    assert "Build another answer" in deliver_page.content.decode()
    assert "Delivered to" not in deliver_page.content.decode()
    settle_stop(
        clerk, case_id=answer.case_id, request_id=answer.request_id, record_id=new_id(),
        stop=str(stop.pk), entry={"words": "The order lets it out", "on_word_of": "Counsel"},
    )  # fmt: skip
    assert enter(Client(), made).status_code == 302
    with pytest.raises(Refused, match="no longer approved"):
        deliver(answer, clerk, "mail")
    assert deliver(answer, boss, "mail", although="As counsel says.").differed


def test_a_download_under_way_stops_when_what_it_sends_is_kept_back(answer, clerk, monkeypatch):
    made = deliver(answer, clerk)
    monkeypatch.setattr(pick_up, "LOOK_AGAIN_BYTES", 4096)
    monkeypatch.setattr(pick_up, "COMPARE_SECONDS", 0.0)
    client = Client()
    enter(client, made)
    fetched = client.get(reverse("answers:fetch", args=[made.token]))
    pieces = iter(fetched.streaming_content)
    next(pieces)
    Case.objects.filter(pk=answer.case_id).update(restricted=True)
    with pytest.raises(pick_up.CalledBack):
        list(pieces)
    close(fetched)
    assert noted(made) == ["code", "began", "kept back"]


def test_records_that_were_left_out_since_are_told_on_the_page_and_by_the_api(
    answer, clerk, client
):
    deliver(answer, clerk, answers="part", still_due="The slides.")
    reach = Reach.objects.get(request=answer.request, kind="photograph")
    leave_out_records(
        clerk, case_id=reach.case_id, request_id=reach.request_id, record_id=reach.pk,
        version=1, reason="Not asked for.",
    )  # fmt: skip
    gone, approval = differs_now(answer)
    assert gone == Differs(
        "P 1 and P 2 are no longer among what is asked for: withdrawn, or left out.", firm=True
    )
    client.force_login(clerk)
    told = client.get(f"/api/cases/{answer.case_id}/answers/{answer.pk}/differences/").json()
    assert told == [{"words": one.words, "firm": one.firm} for one in (gone, approval)]


def test_who_may_not_know_of_a_case_that_is_sent_neither_delivers_nor_fetches_it(
    answer, clerk, client
):
    other = make_case()
    Case.objects.filter(pk=other.pk).update(restricted=True)
    Answer.objects.filter(pk=answer.pk).update(
        sent_items=[*answer.sent_items, ["report", str(new_id()), str(other.pk)]]
    )
    with pytest.raises(Refused, match="named team"):
        deliver(answer, clerk, "mail")
    client.force_login(clerk)
    zipped = reverse("answers:download-answer", args=[answer.case_id, answer.pk])
    assert client.get(zipped).status_code >= 400


def test_a_case_that_is_no_longer_asked_for_keeps_it_whatever_else_is_closed_to_the_person(
    answer, clerk
):
    boss, gone, closed = second_person(), make_case(), make_case()
    Answer.objects.filter(pk=answer.pk).update(
        sent_items=[*answer.sent_items, ["report", str(new_id()), str(gone.pk)]]
    )
    with pytest.raises(Refused, match="no longer asks for one of its cases"):
        deliver(answer, boss, "mail", although="The same goes out.")
    RequestCase.objects.create(
        case=closed, request=answer.request, created_by=clerk, changed_by=clerk
    )
    Case.objects.filter(pk=closed.pk).update(restricted=True)
    with pytest.raises(Refused, match="no longer asks for one of its cases") as why:
        deliver(answer, boss, "mail", although="The same goes out.")
    assert closed.label not in str(why.value)


def test_only_an_address_is_called_back_and_by_who_read_it_as_it_stands(answer, clerk):
    made, mailed = deliver(answer, clerk), deliver(answer, clerk, "mail")
    case = {"case_id": answer.case_id, "reason": "Wrong person."}
    with pytest.raises(StaleRecord):
        call_back_delivery(clerk, delivery_id=made.pk, version=2, **case)
    with pytest.raises(NotKnown):
        call_back_delivery(
            clerk, case_id=make_case().pk, delivery_id=made.pk, version=1, reason="Of another case."
        )
    with pytest.raises(Refused, match="Only an address"):
        call_back_delivery(clerk, delivery_id=mailed.pk, version=1, **case)
    assert not Delivery.objects.exclude(called_back_at=None).exists()


def test_what_was_added_to_the_report_since_is_told_and_what_was_there_is_not(answer, clerk):
    added = {"case": answer.case, "kind": "addendum", "text": "x", "why": "y", "made_by": clerk}
    for number, minutes in ((8, -1), (9, 1)):
        at = answer.built_at + timedelta(minutes=minutes)
        save_new(clerk, Addendum(number=number, made_at=at, **added), own_key=True)
    words = [one.words for one in differs_now(answer)]
    assert "Addendum 9 was added to the report after it was built." in words
    assert not [one for one in words if "Addendum 8" in one and "was added" in one]


def test_the_pages_deliver_show_address_and_code_once_and_call_back(answer, client, clerk):
    client.force_login(clerk)
    assert "answer 1 is built, to be handed over" in client.get("/").content.decode()
    page = reverse("answers:deliver", args=[answer.case_id, answer.pk])
    form = client.get(page).content.decode()
    assert "The address opens until" in form
    # Who says that it is everything reads what everything was.
    assert f"What is requested: {answer.request.asks_for}" in form
    sent = {
        "record_id": new_id(), "version": answer.request.version, "to_whom": "Clerk of the court",
        "method": "download", "answers": "whole",
    }  # fmt: skip
    wrong = client.post(page, sent)
    assert wrong.status_code == 422
    assert "until when" in wrong.content.decode()
    end = timezone.localtime() + timedelta(days=2)
    sent |= {"ends_at_0": f"{end:%Y-%m-%d}", "ends_at_1": f"{end:%H:%M}"}
    sent["ends_at"] = f"{end:%Y-%m-%dT%H:%M}"
    told = client.post(page, sent)
    assert told.status_code == 200
    assert "Shown once." in told.content.decode()
    made = Delivery.objects.get(to_whom="Clerk of the court")
    assert "Shown once." not in client.post(page, sent).content.decode()
    shown = client.get(reverse("answers:answer", args=[answer.case_id, answer.pk])).content.decode()
    assert "Not opened yet." in shown
    back = reverse("answers:call-back", args=[answer.case_id, made.pk])
    assert client.post(back, {"version": 1, "reason": ""}).status_code == 422
    assert client.post(back, {"version": 1, "reason": "Sent to another."}).status_code == 302
    made.refresh_from_db()
    assert made.called_back_why == "Sent to another."
