"""What is added once the examination has ended asks why, in a field of its page."""

from __future__ import annotations

import json
import re

import pytest
from django.urls import reverse
from django.utils import timezone

from findings.models import Examination, Interpretation, LayerFinding, Mark
from findings.organs import actions as organ_actions
from findings.postmortem import actions as postmortem_actions
from findings.postmortem.models import Lividity, Rigor
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.findings.builders import ON_RIGHT_CHEST, a_mark, make_examination, make_finding

pytestmark = pytest.mark.django_db
MARK = {"view": "anterior", "kind": "point", "points": json.dumps([ON_RIGHT_CHEST])}
# What is added, by which page, and what its form says.
ADDED = [
    (Lividity, "postmortem", {"what": "lividity", "region": "buttocks", "state": "present"}),
    (Rigor, "postmortem", {"what": "rigor", "joint": "jaw", "stage": "complete"}),
    (Mark, "mark-new", MARK),
    (LayerFinding, "layer-new", {"layer": "skin", "examined": "True", "found": "no hemorrhage"}),
    (
        Interpretation,
        "interpretation-new",
        {
            "statement": "Fall",
            "standing": "consistent with",
            "ground": "As told",
            "confidence": "probable",
        },
    ),
]


@pytest.mark.parametrize(("model", "name", "said"), ADDED, ids=[row[0].__name__ for row in ADDED])
def test_adding_asks_for_a_reason_once_the_examination_has_ended(client, model, name, said):
    examination = make_examination()
    finding = make_finding(examination)
    client.force_login(examination.pathologist)
    more = [] if name == "postmortem" else [finding.pk]
    page = reverse(f"findings:{name}", args=[examination.case_id, *more])
    assert "Reason for adding it now" not in client.get(page).content.decode()
    before = client.post(page, {**said, "record_id": new_id()})
    assert (before.status_code, model.objects.count()) == (302, 1)
    model.objects.all().update(voided_at=timezone.now())
    Examination.objects.update(ended_at=timezone.now())
    assert "Reason for adding it now" in client.get(page).content.decode()
    refused = client.post(page, {**said, "record_id": new_id()})
    assert refused.status_code == 422
    shown = refused.content.decode()
    assert 'name="reason"' in shown
    key = new_id()
    given = client.post(page, {**said, "record_id": key, "reason": "Seen in the photographs."})
    assert (given.status_code, model.objects.count()) == (302, 2)
    event = AuditEvent.objects.filter(record_id=str(key)).first()
    assert event.reason == "Seen in the photographs."


def test_changing_says_beside_its_reason_that_it_is_needed_once_the_examination_has_ended(client):
    examination = make_examination()
    finding = make_finding(examination, marks=[a_mark()])
    who, case = examination.pathologist, examination.case_id
    said = {"case_id": case, "record_id": new_id()}
    organ = organ_actions.weigh_organ(who, **said, entry={"organ": "spleen", "weight_g": 150})
    rigor = postmortem_actions.record_rigor(
        who, **said, entry={"joint": "jaw", "stage": "complete"}
    )
    client.force_login(who)
    pages = [
        reverse("findings:finding-change", args=[case, finding.pk]),
        reverse("findings:mark-move", args=[case, finding.marks.get().pk]),
        reverse("findings:organ-change", args=[case, organ.pk]),
        reverse("findings:rigor-change", args=[case, rigor.pk]),
    ]
    needed = "required, as the examination has ended"
    assert [needed in client.get(page).content.decode() for page in pages] == [False] * 4
    Examination.objects.update(ended_at=timezone.now())
    assert [needed in client.get(page).content.decode() for page in pages] == [True] * 4


def test_the_two_forms_of_lividity_and_rigor_share_no_id(client):
    examination = make_examination()
    client.force_login(examination.pathologist)
    page = reverse("findings:postmortem", args=[examination.case_id])
    for answer in (client.get(page), client.post(page, {"what": "rigor", "record_id": new_id()})):
        ids = re.findall(r'\bid="([^"]+)"', answer.content.decode())
        assert sorted(ids) == sorted(set(ids))
        assert {"lividity_note", "rigor_note"} <= set(ids)


def test_a_wound_path_asks_for_a_reason_once_the_examination_has_ended(client):
    examination = make_examination()
    finding = make_finding(examination, mechanism="Firearm")
    client.force_login(examination.pathologist)
    page = reverse("findings:path-new", args=[examination.case_id, finding.pk])
    assert "Reason for adding it now" not in client.get(page).content.decode()
    Examination.objects.update(ended_at=timezone.now())
    assert "Reason for adding it now" in client.get(page).content.decode()
    said = {"record_id": new_id(), "structures": "Right lung", "ends_as": "end of the track"}
    assert client.post(page, said).status_code == 422
    said |= {"end_words": "in the lung", "reason": "Read again from the notes."}
    assert client.post(page, said).status_code == 302
    assert finding.paths.get().version == 1
