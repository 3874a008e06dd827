"""A request that is answered without a packet: testimony, or a letter."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from cases.court import closing, queries
from cases.court.models import Closing
from cases.court.rules import wrong_in_closing
from cases.docket.queries import read_rows
from cases.docket.yearly import year_behind
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.court.builders import demand
from tests.packets.builders import make_request

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def asked(clerk):
    asked = make_request(make_case(), clerk)
    demand(clerk, asked, kind="testimony", title="Testimony of the pathologist")
    return asked


def close(by, asked, **more):
    said = {"record_id": new_id(), "version": asked.version, **more}
    entry = {"how": "testimony", "answered_on": timezone.localdate(), "words": "Heard."}
    entry |= said.pop("entry", {})
    return closing.answer_without_packet(
        by, case_id=asked.case_id, request_id=asked.pk, entry=entry, **said
    )


def test_a_request_for_testimony_is_closed_leaves_its_event_and_counts_as_answered(asked, clerk):
    key = new_id()
    made = close(clerk, asked, record_id=key)
    assert close(clerk, asked, record_id=key).pk == made.pk, "the same key and content once"
    with pytest.raises(Conflict):
        close(clerk, asked, record_id=key, entry={"words": "Otherwise."})
    asked.refresh_from_db()
    assert asked.state == "answered"
    assert AuditEvent.objects.filter(act="answer_without_packet", record_id=str(key)).exists()
    today = timezone.localdate()
    assert read_rows(clerk, "", today)[0] == []
    figures = year_behind(clerk, today - 60 * DAY, today, today)
    assert [one.answered_on for one in figures.rows] == [today]
    row = list(queries.request_rows(clerk, queries.read_choice("", ""), today))[1]
    assert row[9] == today.isoformat()


def test_a_closing_is_refused_by_role_when_stale_when_closed_and_where_records_go_out(
    asked, clerk, monkeypatch
):
    with pytest.raises(NotAllowed):
        close(make_staff(Role.INVESTIGATOR), asked)
    with pytest.raises(StaleRecord):
        close(clerk, asked, version=asked.version + 1)
    monkeypatch.setattr(closing, "_AGAINST", [lambda one: "Records go out."])
    with pytest.raises(Refused, match="Records go out"):
        close(clerk, asked)
    monkeypatch.setattr(closing, "_AGAINST", [])
    with pytest.raises(Invalid) as refused:
        close(clerk, asked, entry={"answered_on": timezone.localdate() + DAY})
    assert list(refused.value.errors) == ["answered_on"]
    close(clerk, asked)
    asked.refresh_from_db()
    with pytest.raises(Refused, match="answered already"):
        close(clerk, asked)
    assert Closing.objects.count() == 1


def test_the_page_leads_to_the_closing_and_says_beside_the_field_what_is_wrong(asked, signed_in):
    keys = {"case_id": asked.case_id, "request_id": asked.pk}
    url = reverse("court:close-request", kwargs=keys)
    page = signed_in.get(reverse("court:request", kwargs=keys)).content.decode()
    assert url in page
    assert "<dt>Asks for</dt><dd>testimony</dd>" in page
    assert "Build a packet" not in page
    sent = {"how": "testimony", "answered_on": "2099-01-01", "words": "Heard.",
            "record_id": new_id(), "request_key": new_id(), "version": asked.version}  # fmt: skip
    refused = signed_in.post(url, sent)
    assert refused.status_code == 422
    assert "This date is in the future." in refused.content.decode()
    today = timezone.localdate().isoformat()
    assert signed_in.post(url, sent | {"answered_on": today}).status_code == 302
    page = signed_in.get(reverse("court:request", kwargs=keys)).content.decode()
    assert "testimony was given" in page


def test_what_is_not_recorded_is_one_list_of_what_can_be_added(asked, signed_in):
    keys = {"case_id": asked.case_id, "request_id": asked.pk}
    page = signed_in.get(reverse("court:request", kwargs=keys)).content.decode()
    side = page.partition('<section class="request-side"')[2]
    for heading in ("Counsel", "Fee", "Letters", "Original", "Protective order", "Clock", "Cases"):
        assert f"<h2>{heading}</h2>" not in side, heading
    offered = side.partition("<h2>Not recorded yet</h2>")[2].partition("</section>")[0]
    for words in ("Attach the original", "Add counsel", "Write a letter", "Write an invoice",
                  "Record a protective order", "Add a case"):  # fmt: skip
        assert f">{words}</a>" in offered, words


def test_a_closing_lies_between_service_and_today():
    today = timezone.localdate()
    assert wrong_in_closing(today, served_on=today, today=today) == {}
    assert "answered_on" in wrong_in_closing(today + DAY, served_on=today, today=today)
    assert "answered_on" in wrong_in_closing(today - DAY, served_on=today, today=today)
    assert wrong_in_closing(None, served_on=today, today=today) == {}
