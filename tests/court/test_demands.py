"""Demands of a request and its own page."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.court import actions, side
from cases.court.demanding import record_demand, withdraw_demand
from cases.court.models import Demand, RecordsRequest
from cases.court.timeline import Line, moment
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from me_office.audit.queries import Change, Part
from tests.builders import make_case, make_staff
from tests.court.builders import demand, demanded, keys_of, url
from tests.packets.builders import make_request

pytestmark = pytest.mark.django_db


def test_a_demand_is_added_with_its_number_corrected_and_withdrawn_and_leaves_events(clerk):
    asked = make_request(make_case(state="signed"), clerk)
    first, second = demand(clerk, asked), demand(clerk, asked, title="Histology slides")
    assert [first.number, second.number] == [1, 2]
    keys = {**keys_of(asked), "record_id": second.pk}
    with pytest.raises(Refused, match="Say why"):
        record_demand(clerk, **keys, version=1, entry=demanded())
    entry = demanded(title="Histology slides and blocks", page=3)
    changed = record_demand(clerk, **keys, version=1, entry=entry, reason="misread")
    assert (changed.version, changed.number, changed.page) == (2, 2, 3)
    with pytest.raises(StaleRecord):
        withdraw_demand(clerk, **keys, version=1, reason="not pressed")
    gone = withdraw_demand(clerk, **keys, version=2, reason="not pressed")
    assert gone.is_voided
    with pytest.raises(Refused):
        record_demand(clerk, **keys, version=3, entry=entry, reason="again")
    # A number that was given is never given again.
    assert demand(clerk, asked, title="The file").number == 3
    acts = list(
        AuditEvent.objects.filter(table="court_demand").order_by("id").values_list("act", "reason")
    )
    assert acts == [
        ("record_demand", ""),
        ("record_demand", ""),
        ("record_demand", "misread"),
        ("withdraw_demand", "not pressed"),
        ("record_demand", ""),
    ]


def test_a_demand_is_refused_by_role_case_content_and_state(clerk):
    asked = make_request(make_case(), clerk)
    with pytest.raises(NotAllowed):
        demand(make_staff(Role.PATHOLOGIST), asked)
    with pytest.raises(Invalid) as wrong:
        demand(clerk, asked, title=" ")
    assert set(wrong.value.errors) == {"title"}
    with pytest.raises(Invalid) as wrong:
        demand(clerk, asked, page=0)
    assert set(wrong.value.errors) == {"page"}
    keys = {**keys_of(asked), "record_id": new_id(), "entry": demanded()}
    made = record_demand(clerk, **keys)
    assert record_demand(clerk, **keys).pk == made.pk
    assert Demand.objects.count() == 1
    with pytest.raises(Conflict):
        record_demand(clerk, **keys | {"entry": demanded(title="The file")})
    other = make_request(make_case(), clerk)
    with pytest.raises(NotKnown):
        withdraw_demand(
            clerk, **keys_of(other), record_id=made.pk, version=1, reason="of another request"
        )
    actions.withdraw_request(clerk, **keys_of(asked), version=1, reason="quashed")
    for act in (
        lambda: demand(clerk, asked),
        lambda: record_demand(clerk, **keys | {"record_id": made.pk}, version=1, reason="late"),
        lambda: withdraw_demand(
            clerk, **keys_of(asked), record_id=made.pk, version=1, reason="late"
        ),
    ):
        with pytest.raises(Refused, match="is withdrawn"):
            act()


def test_a_requests_page_shows_demands_what_it_says_and_when_it_is_due(signed_in, client, clerk):
    case = make_case()
    asked = make_request(case, clerk, cause_number="CR-26-01177")
    demand(clerk, asked)
    testimony = demand(clerk, asked, title="Testimony of the pathologist", kind="testimony")
    page = signed_in.get(url("request", asked)).content.decode()
    assert "<h1>Subpoena CR-26-01177</h1>" in page
    assert "<title>Subpoena CR-26-01177 · Court · " in page
    assert "due tomorrow" in page
    assert "Check with counsel" in page
    assert f'href="{url("request", asked)}demands/{testimony.pk}/"' in page
    assert "page 2 of the request" in page
    assert "Add a demand" in page
    other = make_request(make_case(), clerk)
    strange = reverse("court:request", kwargs={"case_id": case.pk, "request_id": other.pk})
    assert signed_in.get(strange).status_code == 404
    client.force_login(make_staff(Role.INVESTIGATOR))
    seen = client.get(url("request", asked))
    assert seen.status_code == 200
    assert "Add a demand" not in seen.content.decode()


def test_a_request_without_a_number_is_called_by_its_party(clerk):
    kinds = {"kind": "records request", "party": "E. Pell"}
    case = make_case()
    assert (
        make_request(case, clerk, **kinds, cause_number="").title == "Records request from E. Pell"
    )
    assert make_request(case, clerk, party="E. Pell", cause_number="None").title == (
        "Subpoena from E. Pell"
    )


def test_demands_are_entered_by_their_forms(signed_in, clerk):
    asked = make_request(make_case(), clerk)
    sent = {"record_id": str(new_id()), "version": "0", "request_key": str(new_id())}
    wrong = signed_in.post(url("add-demand", asked), {**sent, **demanded(title="", page="x")})
    assert wrong.status_code == 422
    assert set(wrong.context["form"].errors) == {"title", "page"}
    for _ in range(2):
        assert signed_in.post(url("add-demand", asked), {**sent, **demanded()}).status_code == 302
    (made,) = Demand.objects.all()
    change = url("change-demand", asked, record_id=made.pk)
    later = {**demanded(title="The file"), "version": "1"}
    assert signed_in.post(change, later).status_code == 422
    assert signed_in.post(change, {**later, "reason": "misread"}).status_code == 302
    stale = signed_in.post(change, {**later, "title": "Slides", "reason": "mine"})
    assert stale.status_code == 409
    assert "The file" in stale.content.decode()
    gone = url("withdraw-demand", asked, record_id=made.pk)
    assert "It stays in the history" in signed_in.get(gone).content.decode()
    assert signed_in.post(gone, {"version": "2", "reason": ""}).status_code == 422
    assert signed_in.post(gone, {"version": "2", "reason": "not pressed"}).status_code == 302
    assert f"demand-{made.pk}" not in signed_in.get(url("request", asked)).content.decode()


def test_demands_by_the_api(signed_in, clerk):
    asked = make_request(make_case(), clerk)
    many = reverse("court_api:demands", kwargs=keys_of(asked))
    sent = {"id": str(new_id()), **demanded()}
    made = signed_in.post(many, sent, content_type="application/json")
    assert (made.status_code, made.json()["number"]) == (201, 1)
    assert [row["id"] for row in signed_in.get(many).json()] == [sent["id"]]
    gone = reverse("court_api:withdraw-demand", kwargs={**keys_of(asked), "record_id": sent["id"]})
    body = {"version": 1, "reason": "not pressed"}
    assert signed_in.post(gone, body, content_type="application/json").status_code == 200
    assert signed_in.get(many).json() == []


def test_a_requests_page_needs_as_many_statements_for_three_demands_as_for_sixty(signed_in, clerk):
    asked = make_request(make_case(), clerk)
    counts = []
    for more in (3, 57):
        for _ in range(more):
            demand(clerk, asked)
        with CaptureQueriesContext(connection) as seen:
            signed_in.get(url("request", asked))
        counts.append(len(seen))
    # With what the rooms above read for their sections: each of its own.
    assert counts[0] == counts[1] <= 50, counts


def test_other_rooms_add_sections_and_words(signed_in, clerk, monkeypatch):
    monkeypatch.setattr(side, "_SECTIONS", dict(side._SECTIONS))
    monkeypatch.setattr(side, "_DEMANDS", {})
    monkeypatch.setattr(side, "_DEMAND_PAGES", [])
    asked = make_request(make_case(), clerk)
    made = demand(clerk, asked)
    part = side.Section("late", 95, "court/_side_caution.html", lambda *_: None)
    side.register(part)
    assert "late" not in [one.key for one in side.parts_of(clerk, asked, [made], side.SIDE)]
    side.register(side.Section("late", 15, "court/_side_caution.html", lambda *_: "words"))
    shown = [one.key for one in side.parts_of(clerk, asked, [made], side.SIDE)]
    assert shown.index("due") < shown.index("late") < shown.index("caution")
    later = side.DemandsTold({made.pk: "letter sent"})
    side.tell_demands("letters", 20, lambda *_: later)
    first = side.DemandsTold({made.pk: "1 of 2 decided"}, "0 of 1 demands decided")
    side.tell_demands("decisions", 10, lambda *_: first)
    page = signed_in.get(url("request", asked)).content.decode()
    assert "1 of 2 decided · letter sent" in page
    assert "0 of 1 demands decided · due tomorrow" in page


def test_the_time_line_names_what_an_act_made_beside_the_request():
    was = [Change("due on", "1 Dec 2026", "2 Dec 2026")]
    made = Part("clock change", "insert", "clock_clockchange", "1", was, "extension")
    own = Part("request", "update", RecordsRequest._meta.db_table, "2", was)
    now = timezone.now()
    act = Line(now, "R. Ostrander", "", "noted a clock change", "", "", "", 1, [own, made])
    assert act.subject == "extension"
    assert moment(now, "downloaded whole", "127.0.0.1").subject == ""
