"""A packet out of date is neither downloaded nor released; a request is answered in part."""

from __future__ import annotations

from copy import deepcopy

import pytest
from django.urls import reverse
from django.utils import timezone

from cases.court.models import RecordsRequest, Release
from cases.exhibits.queries import redactions_in_force
from cases.packets import actions, queries, tasks
from cases.packets.currency import holds_now
from cases.packets.models import Packet
from cases.review.actions import add_addendum
from evidence.photographs.models import Photograph
from evidence.photographs.tasks import derive_images
from evidence.results.models import Result
from me_office.audit.errors import Refused
from me_office.audit.ids import new_id
from tests.builders import taken_back
from tests.court.test_actions import handed_over
from tests.evidence.pictures import picture_bytes, take_away
from tests.exhibits.builders import make_redaction
from tests.packets.builders import (
    examined_case,
    make_clerk,
    make_packet,
    make_people,
    make_request,
    packet_for,
    sign,
)
from tests.packets.test_outgoing import COVER, with_place
from tests.results.builders import report_of

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def _once(made_once):
    def build():
        vasko, thorne = make_people()
        made = examined_case(vasko, pictures=[with_place(n) for n in (1, 2, 3)])
        for photograph in Photograph.objects.filter(case=made):
            derive_images(photograph_id=str(photograph.pk))
        return thorne, sign(made, vasko, thorne)

    return made_once(build)


@pytest.fixture(scope="module")
def _signed_once(_once):
    return _once[1]


@pytest.fixture
def thorne_and_case(db, _once):
    return deepcopy(_once)


def built(asked, clerk, **chosen) -> Packet:
    made = make_packet(asked, clerk, **chosen)
    assert tasks.build_packet(request_id=str(made.pk)) == "made"
    return queries.packet_of(made.case_id, made.pk)


def release(clerk, packet, **said):
    packet = Packet.objects.select_related("request").get(pk=packet.pk)
    entry = {**handed_over(clerk), "released_at": timezone.now(), **said}
    return actions.release_packet(
        clerk,
        case_id=packet.case_id,
        packet_id=packet.pk,
        record_id=said.pop("key", None) or new_id(),
        version=packet.request.version,
        entry=entry,
    )


def hide(case, *numbers):
    for number in numbers:
        photograph = Photograph.objects.get(case=case, number=number)
        standing = redactions_in_force(case).get(photograph.pk)
        make_redaction(
            make_clerk(name="Q. Hale"),
            photograph,
            COVER,
            reason="Face of a child",
            version=standing.version if standing else 0,
        )


def add(thorne, case, kind="addendum"):
    amends = "Cause of death" if kind == "amendment" else ""
    entry = {"kind": kind, "amends": amends, "text": "The slides came back.", "why": "Late."}
    add_addendum(thorne, case_id=case.pk, record_id=new_id(), entry=entry)


def test_a_packet_of_today_is_downloaded_and_released(packet, clerk, client):
    client.force_login(clerk)
    assert queries.packet_of(packet.case_id, packet.pk).changed == []
    assert fetched(client, packet) == 200
    release(clerk, packet)
    assert RecordsRequest.objects.get().state == "answered"


def fetched(client, packet) -> int:
    answer = client.get(download(packet))
    answer.getvalue() if answer.streaming else None
    return answer.status_code


def download(packet) -> str:
    keys = {"case_id": packet.case_id, "packet_id": packet.pk}
    return reverse("packets:download-packet", kwargs=keys)


# What is kept one after the other, and what is said of all of it then.
KEPT_LATER = {
    "redactions": [
        (lambda thorne, case: hide(case, 2), ["photograph 2 was made"]),
        (
            lambda thorne, case: hide(case, 1, 3),
            ["photograph 1 was made", "photograph 2 was made", "photograph 3 was made"],
        ),
    ],
    "addendum and amendment": [
        (add, ["Addendum 1 was added"]),
        (
            lambda thorne, case: add(thorne, case, "amendment"),
            ["Addendum 1 was added", "Amendment 2 was added"],
        ),
    ],
    "a late result and its replacement": [
        (
            lambda thorne, case: report_of(thorne, case, status="preliminary"),
            ["Result 1 was recorded"],
        ),
        (
            lambda thorne, case: report_of(
                thorne, case, replaces=Result.objects.get().pk, why_replaced="Final report"
            ),
            ["Result 2 was recorded"],
        ),
    ],
}


def test_what_was_kept_after_it_was_built_keeps_it_in_the_office(
    packet, clerk, client, thorne_and_case
):
    client.force_login(clerk)
    for name, steps in KEPT_LATER.items():
        with taken_back():
            for change, words in steps:
                change(*thorne_and_case)
                stays_in_the_office(client, clerk, packet, words, name)
            again = built(RecordsRequest.objects.get(pk=packet.request_id), clerk)
            assert again.changed == [], name
            release(clerk, again)


def stays_in_the_office(client, clerk, packet, words, name):
    for word in words:
        with pytest.raises(Refused, match=word):
            release(clerk, packet)
    assert Release.objects.count() == 0, name
    refused = client.get(download(packet))
    assert refused.status_code in {409, 422}, name
    assert b"PK" not in refused.content[:2], name
    page = client.get(reverse("packets:packets", args=[packet.case_id])).content.decode()
    assert "Out of date." in page, name
    assert "Build it again" in page, name
    assert "Record the release" not in page, name
    answer = client.get(f"/api/cases/{packet.case_id}/packets/{packet.pk}/").json()
    assert answer["file"] is None, name
    assert len(answer["changed"]) == len(words), name


def test_a_packet_from_before_results_were_noted_is_measured_by_its_moment(thorne_and_case, clerk):
    thorne, case = thorne_and_case
    first = report_of(thorne, case)
    packet = built(make_request(case, clerk), clerk)
    held = {name: one for name, one in packet.holds.items() if name != "late_results"}
    Packet.objects.filter(pk=packet.pk).update(holds=held)
    assert queries.packet_of(case.pk, packet.pk).changed == []
    report_of(thorne, case, replaces=first.pk, why_replaced="Amended")
    changed = queries.packet_of(case.pk, packet.pk).changed
    assert changed == ["Result 1 was replaced.", "Result 2 was recorded."]


def test_what_was_released_can_be_fetched_for_good(packet, clerk, client, thorne_and_case):
    release(clerk, packet)
    hide(thorne_and_case[1], 1)
    client.force_login(clerk)
    assert fetched(client, packet) == 200


def test_a_retried_release_gets_its_first_answer_after_the_file_changed(
    packet, clerk, thorne_and_case
):
    packet = Packet.objects.select_related("request").get(pk=packet.pk)
    said = {
        "case_id": packet.case_id,
        "packet_id": packet.pk,
        "record_id": new_id(),
        "version": packet.request.version,
        "entry": {**handed_over(clerk), "released_at": timezone.now()},
    }
    first = actions.release_packet(clerk, **said)
    add(*thorne_and_case)
    assert actions.release_packet(clerk, **said).pk == first.pk
    assert Release.objects.count() == 1


def test_an_original_that_was_chosen_by_name_stays_current(thorne_and_case, clerk):
    case = thorne_and_case[1]
    hide(case, 2)
    chosen = [str(Photograph.objects.get(case=case, number=2).pk)]
    packet = built(
        make_request(case, clerk), clerk, originals=chosen, originals_why="The court’s order"
    )
    # Another copy of the one that goes out as it is changes nothing, one of another does.
    hide(case, 2, 3)
    assert queries.packet_of(case.pk, packet.pk).changed == [
        "A redacted copy of photograph 3 was made."
    ]


def test_a_packet_that_is_not_built_yet_is_not_out_of_date(thorne_and_case, clerk):
    thorne, case = thorne_and_case
    waiting = packet_for(case, clerk)
    add(thorne, case)
    assert queries.packet_of(case.pk, waiting.pk).changed == []


def test_a_withdrawn_photograph_is_not_what_a_packet_would_hold():
    vasko, _ = make_people()
    case = examined_case(vasko, pictures=[picture_bytes(n) for n in (1, 2, 3)])
    photograph = Photograph.objects.get(case=case, number=2)
    take_away(vasko, photograph)
    assert holds_now(case).photographs == (1, 3)


def test_a_packet_without_photographs_is_not_made_old_by_a_redaction(thorne_and_case, clerk):
    case = thorne_and_case[1]
    packet = built(make_request(case, clerk), clerk, with_photographs=False)
    hide(case, 1)
    assert queries.packet_of(case.pk, packet.pk).changed == []
    add(*thorne_and_case)
    assert queries.packet_of(case.pk, packet.pk).changed == ["Addendum 1 was added."]


def test_a_request_is_answered_in_part_and_says_what_is_left(packet, clerk, client):
    with pytest.raises(Refused, match="still to be sent"):
        release(clerk, packet, answers="part", still_due=" ")
    with pytest.raises(Refused, match="either"):
        release(clerk, packet, answers="whole", still_due="The slides")
    release(clerk, packet, answers="part", still_due="The slides; the 911 recording")
    asked = RecordsRequest.objects.get()
    assert asked.state == "open"
    (waits,) = queries.requests_without_packet(clerk, most=5)
    assert waits.left_to_send == "The slides; the 911 recording"
    assert queries.packets_to_release(clerk, most=5) == []
    client.force_login(clerk)
    page = client.get(reverse("court:requests", args=[packet.case_id])).content.decode()
    assert "answered in part" in page
    assert "The slides; the 911 recording" in page
    with pytest.raises(Refused, match="already released"):
        release(clerk, packet)
    second = built(asked, clerk)
    release(clerk, second, answers="part", still_due="The 911 recording")
    assert queries.requests_without_packet(clerk, most=5)[0].left_to_send == "The 911 recording"
    release(clerk, built(RecordsRequest.objects.get(), clerk), answers="whole")
    assert RecordsRequest.objects.get().state == "answered"
    assert queries.requests_without_packet(clerk, most=5) == []


def test_the_page_asks_whether_everything_is_there_and_chooses_nothing(packet, clerk, client):
    client.force_login(clerk)
    where = reverse("packets:release-packet", args=[packet.case_id, packet.pk])
    page = client.get(where)
    assert page.context["form"]["answers"].value() is None
    typed = {
        "released_to": "A. Pell", "method": "courier", "released_by": str(clerk.pk),
        "released_at": timezone.localtime().strftime("%Y-%m-%dT%H:%M"),
        "record_id": str(new_id()), "request_key": str(new_id()),
        "version": str(packet.request.version),
    }  # fmt: skip
    refused = client.post(where, typed)
    assert refused.status_code == 422
    assert refused.context["form"].errors["answers"]
    refused = client.post(where, {**typed, "request_key": str(new_id()), "answers": "part"})
    assert refused.context["form"].errors["still_due"]
    kept = client.post(
        where,
        {**typed, "request_key": str(new_id()), "answers": "part", "still_due": "The slides"},
        follow=True,
    )
    assert b"the request stays open" in kept.content
    assert Release.objects.get().still_due == "The slides"
