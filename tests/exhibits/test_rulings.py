"""Rulings on exhibits: recorded, corrected, withdrawn, several in time, shown with the exhibit."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from cases.exhibits import actions, queries
from cases.exhibits.models import ExhibitRuling
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.exhibits.builders import make_exhibit, make_photograph, make_set
from tests.remains.builders import sign

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 3, 2)


@pytest.fixture
def exhibit(vasko):
    made = make_set(vasko, make_case(by=vasko))
    return make_exhibit(vasko, made, make_photograph(vasko, made.case), number="14")


def record(by, exhibit, **said):
    entry = {"on_day": MONDAY, "ruling": "reserved", **said}
    key = entry.pop("record_id", None) or new_id()
    return actions.record_ruling(
        by, case_id=exhibit.case_id, exhibit_id=exhibit.pk, record_id=key, entry=entry
    )


def test_several_rulings_stand_in_time_and_the_latest_is_shown(client, vasko, exhibit):
    later = record(vasko, exhibit, on_day=MONDAY + timedelta(days=2), ruling="limited",
                   purpose="to show the place of the wound")  # fmt: skip
    record(vasko, exhibit, objected_by="the defense", ground="More prejudicial than probative")
    client.force_login(make_staff(Role.INVESTIGATOR))
    keys = {"case_id": exhibit.case_id, "set_id": exhibit.exhibit_set_id}
    page = client.get(reverse("exhibits:set", kwargs=keys)).content.decode()
    assert "Admitted for a limited purpose (to show the place of the wound), 4 Mar 2026" in page
    one = reverse("exhibits:exhibit", kwargs={**keys, "exhibit_id": exhibit.pk})
    shown = client.get(one).content.decode()
    assert shown.index("Ruling reserved") < shown.index("Admitted for a limited purpose")
    assert "Objection by the defense: More prejudicial than probative" in shown
    # What a court is shown stays what it was.
    assert [one.pk for one in queries.exhibits_to_present(exhibit.exhibit_set)] == [exhibit.pk]
    screen = client.get(reverse("exhibits:present", kwargs=keys)).content.decode()
    assert "defense" not in screen and "dmitted" not in screen
    keys = {"case_id": exhibit.case_id, "ruling_id": later.pk}
    actions.void_ruling(vasko, **keys, version=1, reason="of another exhibit")
    assert queries.exhibits_of(exhibit.exhibit_set)[0].ruling.ruling == "reserved"


def test_a_ruling_is_corrected_with_a_reason_and_after_the_signature_too(vasko, exhibit):
    sign(exhibit.case)
    made = record(vasko, exhibit)
    keys = {"case_id": exhibit.case_id, "ruling_id": made.pk}
    said = {"ruling": "not admitted"}
    with pytest.raises(Refused, match="Say why"):
        actions.change_ruling(vasko, **keys, version=1, entry=said, reason=" ")
    actions.change_ruling(vasko, **keys, version=1, entry=said, reason="misheard")
    event = AuditEvent.objects.get(act="change_ruling")
    assert (event.changes["ruling"], event.reason) == (["reserved", "not admitted"], "misheard")
    with pytest.raises(StaleRecord):
        actions.change_ruling(vasko, **keys, version=1, entry=said, reason="again")
    actions.void_ruling(vasko, **keys, version=2, reason="wrong case")
    with pytest.raises(Refused):
        actions.change_ruling(vasko, **keys, version=3, entry=said, reason="again")


def test_what_cannot_be_recorded_is_refused(vasko, exhibit):
    key = new_id()
    assert record(vasko, exhibit, record_id=key).pk == record(vasko, exhibit, record_id=key).pk
    with pytest.raises(Conflict):
        record(vasko, exhibit, record_id=key, ruling="admitted")
    for said in (
        {"on_day": timezone.localdate() + timedelta(days=1)},
        {"ruling": "limited"},
        {"ruling": "overruled"},
        {"ground": "hearsay"},
    ):
        with pytest.raises(Invalid):
            record(vasko, exhibit, **said)
    record(vasko, exhibit, on_day=timezone.localdate())
    with pytest.raises(NotAllowed):
        record(make_staff(Role.INVESTIGATOR), exhibit)
    actions.remove_exhibit(
        vasko, case_id=exhibit.case_id, exhibit_id=exhibit.pk, version=1, reason="not needed"
    )
    with pytest.raises(Refused, match="removed"):
        record(vasko, exhibit)
    # What was recorded before gets its answer still, and other content no other one.
    assert record(vasko, exhibit, record_id=key).pk == key
    with pytest.raises(Conflict):
        record(vasko, exhibit, record_id=key, ruling="admitted")
    assert ExhibitRuling.objects.count() == 2


def test_the_way_by_pages_and_by_the_api(client, exhibit):
    client.force_login(make_staff(Role.RECORDS_CLERK))
    keys = {"case_id": exhibit.case_id, "exhibit_id": exhibit.pk}
    new = reverse("exhibits:record-ruling", kwargs={**keys, "set_id": exhibit.exhibit_set_id})
    assert client.get(new).status_code == 200
    typed = {"on_day": "2026-03-02", "ruling": "limited", "purpose": ""}
    wrong = client.post(new, typed)
    assert (wrong.status_code, "Say for which purpose" in wrong.content.decode()) == (422, True)
    assert client.post(new, {**typed, "purpose": "the place"}).status_code == 302
    made = ExhibitRuling.objects.get()
    one = {"case_id": exhibit.case_id, "ruling_id": made.pk}
    page = reverse("exhibits:ruling", kwargs=one)
    typed = {"on_day": "2026-03-02", "ruling": "admitted", "version": 1, "reason": "misheard"}
    assert client.get(page).status_code == 200
    assert client.post(page, typed).status_code == 302
    assert client.post(page, typed).status_code == 409
    away = reverse("exhibits:withdraw-ruling", kwargs=one)
    assert "Admitted, 02 Mar 2026" in client.get(away).content.decode()
    assert client.post(away, {"version": 2, "reason": "wrong"}).status_code == 302

    body = {"id": str(new_id()), "on_day": "2026-03-02", "ruling": "admitted"}
    address = reverse("exhibits_api:rulings", kwargs=keys)
    assert client.post(address, body, content_type="application/json").status_code == 201
    assert [row["ruling"] for row in client.get(address).json()] == ["admitted"]
    another = {"case_id": make_case().pk, "exhibit_id": exhibit.pk}
    assert client.get(reverse("exhibits_api:rulings", kwargs=another)).status_code == 404
    one = {"case_id": exhibit.case_id, "ruling_id": body["id"]}
    changed = client.put(
        reverse("exhibits_api:ruling", kwargs=one),
        {**body, "ruling": "withdrawn", "version": 1, "reason": "misheard"},
        content_type="application/json",
    )
    assert changed.json()["ruling"] == "withdrawn"
