"""Protective orders: recorded, corrected, told in what leaves, and held against it."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest
from django.urls import reverse
from django.utils import timezone

from cases.answers.models import Answer
from cases.court.marking import orders_of, readme_words
from cases.docket import actions, queries
from cases.docket.court_side import orders_since
from cases.docket.models import ProtectiveOrder
from cases.packets.actions import require_current
from cases.packets.currency import holds_now, kept
from cases.packets.models import Packet
from cases.packets.queries import packets_of
from cases.packets.readme import readme_text
from me_office.accounts.roles import Role
from me_office.audit.errors import Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from tests.builders import as_person, make_case, make_staff
from tests.docket.builders import DAY, order, today
from tests.packets.builders import make_packet, make_request

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(clerk):
    return make_request(make_case(), clerk)


def test_an_order_is_recorded_corrected_and_its_copies_come_back(clerk, asked):
    one = order(clerk, asked, back_by=today() + 3 * DAY)
    assert queries.copies_due(clerk, today() + 14 * DAY) == [one]
    assert queries.copies_due(clerk, today() + 2 * DAY) == []
    with pytest.raises(Refused):
        actions.change_protective_order(
            clerk, case_id=asked.case_id, record_id=one.pk, version=1, entry={}, reason=" "
        )
    ended = {"case_id": asked.case_id, "record_id": one.pk}
    said = {"ended_on": today(), "ended_by": "J. Moss", "ended_how": "Her letter"}
    with pytest.raises(Invalid) as lacking:
        actions.record_copies_ended(clerk, **ended, version=1, entry={"ended_on": today()})
    assert set(lacking.value.errors) == {"ended_by", "ended_how"}
    with pytest.raises(StaleRecord):
        actions.record_copies_ended(clerk, **ended, version=2, entry=said)
    done = actions.record_copies_ended(clerk, **ended, version=1, entry=said)
    assert done.ended_noted_by == clerk and not done.is_open
    assert queries.copies_due(clerk, today() + 14 * DAY) == []
    with pytest.raises(Refused) as why:
        actions.record_copies_ended(clerk, **ended, version=2, entry=said)
    assert why.value.field == "reason"
    with pytest.raises(Invalid):
        order(clerk, asked, copies="keep", back_by=today())
    with pytest.raises(NotAllowed):
        order(make_staff(Role.PATHOLOGIST), asked)


def test_a_packet_of_the_whole_file_says_under_which_order_it_is_disclosed(clerk):
    asked = make_request(make_case(state="signed"), clerk)
    packet = make_packet(asked, clerk)
    held = SimpleNamespace(
        signed_pdf=None, case=asked.case, read_at=timezone.now(), draft=None, charts=[], plan=None,
        photographs=[], measurements=[], addenda=[],
    )  # fmt: skip
    assert "protective order" not in readme_text(held, packet, [])
    order(clerk, asked)
    said = readme_text(held, packet, [])
    assert said.index("Disclosed under a protective order") < said.index("What is here")
    assert "May be seen by: Counsel of both sides." in said


def test_a_packet_of_the_whole_file_does_not_leave_where_an_order_came_after_it(clerk):
    case = make_case(state="signed")
    asked, other = make_request(case, clerk), make_request(case, clerk)
    held, built = kept(holds_now(case)), timezone.now()
    for packet in (make_packet(asked, clerk), make_packet(other, clerk)):
        Packet.objects.filter(pk=packet.pk).update(
            state="made", built_at=built, holds=held, path="p", sha256="a" * 64, size_bytes=1
        )
    order(clerk, asked)
    newer, older = packets_of(case.pk)
    assert (newer.changed, older.request_id) == ([], asked.pk)
    assert len(older.changed) == 1 and "was recorded after it was built" in older.changed[0]
    with pytest.raises(Refused, match=r"out of date.*was recorded after it was built"):
        require_current(older)
    require_current(newer)


def test_an_answer_is_marked_with_the_order_and_says_when_it_was_recorded_later(clerk, asked):
    built = timezone.now()
    answer = Answer(case=asked.case, request=asked, number=1, built_at=built)
    assert orders_of(asked) == [] and orders_since(asked, [answer]) == {answer: []}
    one = order(clerk, asked, back_by=today() + 3 * DAY, until=today() + DAY)
    [told] = orders_of(asked)
    assert (told.made_on, told.who_may_see) == (one.made_on, "Counsel of both sides")
    assert told.row[3].startswith("are returned to the office, by ")
    assert "In force until: " in told.words and "Counsel of both sides" in readme_words([told])
    # The order is days older than the answer, and was not known here when that was built.
    [differs] = orders_since(asked, [answer])[answer]
    assert "was recorded after it was built" in differs.words and not differs.firm
    answer.built_at = timezone.now()
    assert orders_since(asked, [answer])[answer] == []
    actions.change_protective_order(
        clerk, case_id=asked.case_id, record_id=one.pk, version=1, reason="Read again",
        entry={"who_may_see": "Counsel of the State"},
    )  # fmt: skip
    assert "was corrected since" in orders_since(asked, [answer])[answer][0].words


def test_the_pages_of_orders_and_giving_work(clerk, asked):
    browser = as_person(clerk)
    new = reverse("docket:add-order", args=[asked.case_id, asked.pk])
    form = {"made_on": str(today() - DAY), "who_may_see": "Counsel only", "copies": "destroy",
            "back_by": str(today() + 2 * DAY), "record_id": str(new_id())}  # fmt: skip
    assert browser.post(new, {**form, "made_on": str(today() + DAY)}).status_code == 422
    side = browser.post(new, form, follow=True).content.decode()
    assert "Counsel only" in side and "are destroyed" in side
    assert "Counsel only" in browser.get(reverse("docket:board")).content.decode()
    assert "Copies to be destroyed" in browser.get(reverse("first-page")).content.decode()
    one = ProtectiveOrder.objects.get()
    keys = [asked.case_id, one.pk]
    for name in ("change-order", "copies", "withdraw-order"):
        assert browser.get(reverse(f"docket:{name}", args=keys)).status_code == 200
    said = {"ended_on": str(today()), "ended_by": "J. Moss", "ended_how": "A certificate"}
    browser.post(
        reverse("docket:copies", args=keys), {**said, "version": 1, "record_id": str(one.pk)}
    )
    one.refresh_from_db()
    assert one.ended_by == "J. Moss"
    browser.post(
        reverse("docket:withdraw-order", args=keys),
        {"version": 2, "record_id": str(one.pk), "reason": "another request"},
    )
    assert not ProtectiveOrder.objects.active().exists()
    give = reverse("docket:give", args=[asked.case_id, asked.pk])
    side = browser.post(
        give, {"person": str(clerk.pk), "record_id": str(new_id())}, follow=True
    ).content.decode()
    assert "Give to somebody else" in side


def test_the_api_records_orders_and_who_handles(clerk, asked):
    client = as_person(clerk)

    def call(method: str, name: str, body: Any = None, **keys: Any) -> Any:
        url = reverse(f"docket_api:{name}", kwargs={"case_id": asked.case_id, **keys})
        return getattr(client, method)(url, body, content_type="application/json")

    body = {"id": str(new_id()), "person": str(clerk.pk)}
    assert call("post", "handled-by", body, request_id=asked.pk).status_code == 201
    new = {
        "id": str(new_id()),
        "made_on": str(today()),
        "who_may_see": "Counsel",
        "copies": "return",
    }
    made = call("post", "request-orders", new, request_id=asked.pk)
    assert made.status_code == 201, made.content
    one = {"record_id": new["id"]}
    change = {**new, "version": 1, "reason": "misread", "who_may_see": "Counsel and experts"}
    change.pop("id")
    assert call("put", "order", change, **one).json()["who_may_see"] == "Counsel and experts"
    ended = {"version": 2, "ended_on": str(today()), "ended_by": "J. Moss", "ended_how": "Letter"}
    assert call("post", "order-copies", ended, **one).json()["ended_by"] == "J. Moss"
    assert len(call("get", "orders").json()) == 1
    gone = call("post", "withdraw-order", {"version": 3, "reason": "x"}, **one)
    assert gone.json()["voided_at"]
