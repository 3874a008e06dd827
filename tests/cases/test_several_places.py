"""A case with places besides the scene: how they are counted, asked about and printed."""

from __future__ import annotations

import pytest

from cases import actions
from cases.models import Place
from cases.queries.file import case_file
from cases.review.content import report_content
from cases.views.facts import moments_of
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.cases.browsing import page, sign_in, typed, words
from tests.cases.entries import ago, open_case, seen_at_scene

pytestmark = pytest.mark.django_db

YARD = {
    "kind": "injury", "address": "Market Street", "told_by": "A patron", "agencies": "Police",
    "from_at": ago(hours=9), "to_at": ago(hours=7), "weather": "Rain, 8 °C by the van's gauge",
}  # fmt: skip
WARD = {
    "kind": "hospital", "address": "Eskmere hospital", "told_by": "Chart", "from_at": ago(hours=8),
    "to_at": ago(hours=5),
}  # fmt: skip
SAME = {"kind": "moved", "address": "Mill Road 3, Tarnford", "told_by": "Crew", "position": "prone"}


def test_places_are_counted_once_each_asked_about_and_printed(client):
    case, quill = open_case(), sign_in(client, Role.INVESTIGATOR)

    def shown() -> str:
        return words(client.get(page("scene", case)))

    actions.record_scene(quill, case_id=case.pk, version=0, entry=seen_at_scene())
    add = page("add-entry", case, kind="places")
    assert client.post(add, typed(SAME)).status_code == 302
    assert "1 places" not in shown() and "2 places" not in shown()  # a position at the scene
    assert client.post(add, typed(YARD)).status_code == 302
    assert "2 places" in shown() and "at one time" not in shown()
    for one in (WARD, WARD | {"position": "supine"}):
        ward = actions.record_place(quill, case_id=case.pk, record_id=new_id(), entry=one)
    assert "3 places" in shown()  # two positions at one address
    asked = "at two places at one time: Market Street, and Eskmere hospital"
    assert shown().count(asked) == 2
    actions.void_place(quill, record_id=ward.pk, version=1, reason="entered twice")
    assert shown().count(asked) == 1 and "3 places" in shown()
    assert "others there: Police · Rain, 8 °C" in shown()
    (section,) = [one for one in report_content(case.pk)["sections"] if one["key"] == "scene"]
    (printed,) = [one["text"] for one in section["passages"] if "Market Street" in one["text"]]
    assert (
        "Others there: Police. Weather and temperature: Rain, 8 °C by the van's gauge." in printed
    )


def test_where_the_decedent_was_stands_in_what_happened(client):
    case, quill = open_case(), sign_in(client, Role.INVESTIGATOR)
    untimed = {"kind": "other", "address": "Ferry landing", "told_by": "A patron"}
    moment = {"kind": "died", "address": "Ward 3", "told_by": "Dr. V. Amsel", "to_at": ago(hours=5)}
    for one in (moment, WARD, YARD, untimed):
        actions.record_place(quill, case_id=case.pk, record_id=new_id(), entry=one)
    events = moments_of(case, case_file(case))
    stays = [(e["title"], e["detail"], bool(e.get("until"))) for e in events if "told_by" in e]
    assert stays == [
        ("Place of injury", "Market Street", True),
        ("Hospital", "Eskmere hospital", True),
        ("Until then: place of death", "Ward 3", False),
    ]
    shown = words(client.get(page("case", case)))
    assert shown.index("Market Street") < shown.index("Eskmere hospital") < shown.index("Ward 3")
    assert "as seen or reported by Dr. V. Amsel" in shown and "Ferry landing" not in shown


def test_hospital_and_place_of_death_are_two_kinds_and_the_old_one_is_kept(client):
    case, quill = open_case(), sign_in(client, Role.INVESTIGATOR)
    asked = client.get(page("add-entry", case, kind="places")).content.decode()
    assert 'value="died"' in asked and 'value="hospital"' in asked and 'value="death"' not in asked
    old = Place.objects.create(
        case=case,
        kind="death",
        address="Eskmere hospital",
        told_by="Chart",
        created_by=quill,
        changed_by=quill,
    )
    edit = page("edit-entry", case, kind="places", record_id=old.pk)
    assert 'value="death"' in client.get(edit).content.decode()
    (section,) = [one for one in report_content(case.pk)["sections"] if one["key"] == "scene"]
    assert "Place of death or hospital" in str(section)
