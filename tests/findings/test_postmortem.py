"""Lividity and rigor by region, and what to ask where it does not fit the position found."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from cases.models import Scene
from cases.rules.lividity import SceneLividity
from findings.postmortem import actions, queries
from findings.postmortem.models import Lividity, Rigor
from findings.postmortem.wording import (
    LividRegion,
    distribution_cautions,
    lividity_words,
    rigor_words,
)
from me_office.accounts.roles import Role
from me_office.audit.errors import Invalid
from me_office.audit.ids import new_id
from tests.builders import make_staff


def seen(*rows):
    return [LividRegion(*row) for row in rows]


def test_lividity_where_the_position_leads_one_to_expect_it_asks_nothing():
    # Levy and Harcke, Essentials of Forensic Imaging, chapter 3: lividity lies where the body is
    # lowest, and the areas of contact of a supine body stay pale.
    rows = seen(("back of the trunk", "present", "fixed"), ("buttocks", "spared by pressure"))
    assert distribution_cautions(SceneLividity("supine"), rows) == []


def test_fixed_lividity_on_the_front_of_a_supine_body_is_a_reason_to_ask():
    (words,) = distribution_cautions(
        SceneLividity("supine"), seen(("front of the trunk", "present", "fixed"))
    )
    assert "does not go with the position found" in words
    assert words.endswith("never a conclusion.")


def test_two_patterns_are_named():
    rows = seen(("front of the trunk", "present"), ("back of the trunk", "present"))
    (words,) = distribution_cautions(SceneLividity("supine"), rows)
    assert "two patterns" in words


def test_spared_skin_on_the_upper_side_is_a_reason_to_ask():
    rows = seen(("front of the trunk", "spared by pressure"))
    (words,) = distribution_cautions(SceneLividity("supine"), rows)
    assert words.startswith("Pressure-spared skin on the front")
    assert distribution_cautions(SceneLividity("prone"), rows) == []


def test_absent_lividity_and_an_unstated_position_ask_nothing():
    assert distribution_cautions(SceneLividity(""), seen(("face", "present", "fixed"))) == []
    assert (
        distribution_cautions(SceneLividity("supine"), seen(("front of the trunk", "absent"))) == []
    )


def test_the_report_says_present_spared_and_absent():
    rows = seen(
        ("back of the trunk", "present", "fixed", "Purple"),
        ("buttocks", "spared by pressure", "", "", "Oval"),
        ("face", "absent"),
    )
    assert lividity_words(rows) == (
        "Lividity is present on the back of the trunk (purple, fixed). It is spared by pressure "
        "on the buttocks (oval). It is absent on the face."
    )


def test_joints_of_one_stage_are_said_together():
    rows = [("jaw", "complete", ""), ("neck", "complete", ""), ("left knee", "beginning", "")]
    assert rigor_words(rows) == "Rigor is complete in the jaw, neck; beginning in the left knee."


def livid(examination, region="front of the trunk", state="present", **entry):
    return actions.record_lividity(
        examination.pathologist,
        case_id=examination.case_id,
        record_id=new_id(),
        entry={"region": region, "state": state, **entry},
    )


def test_a_region_and_a_joint_are_recorded_once(examination):
    livid(examination)
    with pytest.raises(Invalid, match="recorded already"):
        livid(examination)


def test_blanching_is_tested_where_lividity_is_present(examination):
    with pytest.raises(Invalid, match="tested where lividity is present"):
        livid(examination, state="absent", blanching="fixed")


def url(examination, path="postmortem/"):
    return f"/cases/{examination.case_id}/{path}"


def test_the_page_enters_rows_and_warns(examination, client):
    client.force_login(examination.pathologist)
    Scene.objects.create(
        case=examination.case,
        position="supine",
        arrived_at=timezone.now(),
        created_by=examination.pathologist,
        changed_by=examination.pathologist,
    )
    row = {
        "what": "lividity",
        "record_id": str(new_id()),
        "region": "front of the trunk",
        "state": "present",
        "blanching": "fixed",
        "colour": "Purple",
    }
    assert client.post(url(examination), row).status_code == 302
    joint = {"what": "rigor", "record_id": str(new_id()), "joint": "jaw", "stage": "complete"}
    assert client.post(url(examination), joint).status_code == 302
    page = client.get(url(examination)).content.decode()
    assert "does not go with the position found" in page
    assert "Levy AD, Harcke HT" in page
    assert "Rigor is complete in the jaw." in page
    twice = client.post(url(examination), {**joint, "record_id": str(new_id())})
    assert twice.status_code == 422
    assert "This joint is recorded already." in twice.content.decode()


def test_a_row_is_changed_and_voided_on_the_page(examination, client):
    client.force_login(examination.pathologist)
    row = livid(examination)
    change = url(examination, f"lividity/{row.pk}/")
    assert client.get(change).status_code == 200
    sent = {"version": "1", "region": row.region, "state": "absent"}
    assert client.post(change, sent).status_code == 302
    assert client.post(change, sent).status_code == 409
    void = url(examination, f"lividity/{row.pk}/void/")
    assert client.get(void).status_code == 200
    assert client.post(void, {"version": "2", "reason": "Wrong body side."}).status_code == 302
    assert queries.lividity_of(examination.case) == []


def test_an_investigator_reads_rows_but_has_no_form(examination, client):
    livid(examination)
    client.force_login(make_staff(Role.INVESTIGATOR))
    page = client.get(url(examination)).content.decode()
    assert "Front of the trunk" in page
    assert "Save the region" not in page


def test_many_rows_cost_as_many_statements_as_few(examination, client):
    client.force_login(examination.pathologist)

    def cost():
        with CaptureQueriesContext(
            connection,
        ) as seen_:
            assert client.get(url(examination)).status_code == 200
        return len(seen_)

    livid(examination)
    cost()
    few = cost()
    for region, _ in Lividity.REGIONS:
        if region != "front of the trunk":
            livid(examination, region)
    for joint, _ in Rigor.JOINTS:
        actions.record_rigor(
            examination.pathologist,
            case_id=examination.case_id,
            record_id=new_id(),
            entry={"joint": joint, "stage": "complete"},
        )
    assert cost() == few <= 15


def test_the_api_records_changes_and_lists(examination, client):
    client.force_login(examination.pathologist)
    base = f"/api/cases/{examination.case_id}"
    for name, entry, change in (
        ("lividity", {"region": "face", "state": "present"}, {"state": "absent"}),
        ("rigor", {"joint": "jaw", "stage": "beginning"}, {"stage": "complete"}),
    ):
        body = {"id": str(new_id()), **entry}
        made = client.post(f"{base}/{name}/", body, content_type="application/json")
        assert made.status_code == 201, made.content
        row = f"{base}/{name}/{body['id']}/"
        changed = client.patch(row, {"version": 1, **change}, content_type="application/json")
        assert (changed.status_code, changed.json()["version"]) == (200, 2)
        assert len(client.get(f"{base}/{name}/").json()) == 1
        gone = client.post(
            f"{row}void/", {"version": 2, "reason": "Twice."}, content_type="application/json"
        )
        assert gone.status_code == 200
        assert client.get(f"{base}/{name}/").json() == []
