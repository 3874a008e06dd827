"""Layers, interpretations, marks and organ weights: recorded, changed, voided, refused."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import timezone

from findings import actions
from findings.models import Interpretation, LayerFinding, Mark
from findings.organs import actions as organ_actions
from findings.organs import queries
from findings.organs.models import OrganWeight
from findings.paths import actions as path_actions
from findings.paths.models import WoundPath
from findings.postmortem import actions as postmortem_actions
from findings.postmortem.models import Lividity, Rigor
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_staff
from tests.findings.builders import (
    ON_RIGHT_CHEST,
    make_examination,
    make_finding,
    void_finding,
    write_in,
)

pytestmark = pytest.mark.django_db

MARK = {"view": "anterior", "kind": "point", "points": [ON_RIGHT_CHEST]}
# record type: (record, change, void, key of the id, entry, other entry)
PARTS = {
    "layer": (
        actions.record_layer,
        actions.change_layer,
        actions.void_layer,
        {"layer": "skin", "examined": True, "found": "not broken"},
        {"found": "abraded"},
    ),
    "interpretation": (
        actions.record_interpretation,
        actions.change_interpretation,
        actions.void_interpretation,
        {"statement": "a fall", "standing": "consistent with", "ground": "", "confidence": ""},
        {"confidence": "probable"},
    ),
    "mark": (
        actions.place_mark,
        actions.move_mark,
        actions.void_mark,
        MARK,
        {"points": [[-70.0, 300.0]]},
    ),
    "organ_weight": (
        organ_actions.weigh_organ,
        organ_actions.change_organ_weight,
        organ_actions.void_organ_weight,
        {"organ": "heart", "weight_g": Decimal("420"), "seen_as": ""},
        {"weight_g": Decimal("415")},
    ),
    "path": (
        path_actions.record_path,
        path_actions.change_path,
        path_actions.void_path,
        {"structures": "Skin\nRight lung", "ends_as": "end of the track"},
        {"depth_cm": Decimal("8.0"), "depth_way": "front to back"},
    ),
    "lividity": (
        postmortem_actions.record_lividity,
        postmortem_actions.change_lividity,
        postmortem_actions.void_lividity,
        {"region": "back of the trunk", "state": "present", "blanching": "blanches"},
        {"blanching": "fixed"},
    ),
    "rigor": (
        postmortem_actions.record_rigor,
        postmortem_actions.change_rigor,
        postmortem_actions.void_rigor,
        {"joint": "jaw", "stage": "beginning"},
        {"stage": "complete"},
    ),
}
OF_THE_EXAMINATION = {"organ_weight", "lividity", "rigor"}
every_part = pytest.mark.parametrize("word", PARTS)


class Site:
    """One examination with a finding, and the calls on one kind of part."""

    def __init__(self, word):
        self.examination = make_examination()
        self.finding = make_finding(self.examination)
        self.actor = self.examination.pathologist
        self.word = word
        self.record_act, self.change_act, self.void_act, self.entry, self.other = PARTS[word]

    def record(self, key=None, actor=None, **entry):
        where = {} if self.word in OF_THE_EXAMINATION else {"finding_id": self.finding.pk}
        return self.record_act(
            actor or self.actor,
            case_id=self.examination.case_id,
            record_id=key or new_id(),
            entry={**self.entry, **entry},
            **where,
        )

    def change(self, row, version, actor=None, **entry):
        return self.change_act(
            actor or self.actor,
            case_id=self.examination.case_id,
            version=version,
            entry=entry or self.other,
            reason="looked again",
            **{f"{self.word}_id": row.pk},
        )

    def void(self, row, version, reason="recorded twice"):
        return self.void_act(
            self.actor,
            case_id=self.examination.case_id,
            version=version,
            reason=reason,
            **{f"{self.word}_id": row.pk},
        )


@every_part
def test_a_part_is_recorded_changed_and_voided_with_its_events(word):
    site = Site(word)
    row = site.record()
    site.change(row, 1)
    site.void(row, 2)
    events = AuditEvent.objects.filter(record_id=str(row.pk)).order_by("id")
    assert [event.act for event in events] == [
        site.record_act.__name__,
        site.change_act.__name__,
        site.void_act.__name__,
    ]
    assert [event.reason for event in events] == ["", "looked again", "recorded twice"]
    assert {event.case_id for event in events} == {site.examination.case_id}


@every_part
def test_the_same_request_twice_is_one_part(word):
    site, key = Site(word), new_id()
    assert site.record(key).pk == site.record(key).pk


@every_part
def test_only_a_pathologist_records_a_part(word):
    site = Site(word)
    investigator = make_staff(Role.INVESTIGATOR)
    row = site.record()
    with pytest.raises(NotAllowed):
        site.record(actor=investigator)
    with pytest.raises(NotAllowed):
        site.change(row, 1, actor=investigator)


@every_part
def test_a_stale_change_of_a_part_is_refused(word):
    site = Site(word)
    row = site.record()
    site.change(row, 1)
    with pytest.raises(StaleRecord):
        site.change(row, 1)
    with pytest.raises(StaleRecord):
        site.void(row, 1)


@every_part
def test_a_voided_part_is_not_edited(word):
    site = Site(word)
    row = site.record()
    with pytest.raises(Refused):
        site.void(row, 1, reason="")
    site.void(row, 1)
    with pytest.raises(Refused, match="voided"):
        site.change(row, 2)


@every_part
def test_after_the_end_of_the_examination_adding_asks_why_but_weighing_does_not(word):
    site = Site(word)
    write_in(site.examination, 1, ended_at=timezone.now())
    if word == "organ_weight":
        assert site.record().pk
        return
    with pytest.raises(Refused, match="Say why"):
        site.record()


@pytest.mark.parametrize("word", [word for word in PARTS if word not in OF_THE_EXAMINATION])
def test_nothing_is_added_to_a_voided_finding(word):
    site = Site(word)
    void_finding(site.finding)
    with pytest.raises(Refused, match="This finding was voided"):
        site.record()


def test_an_examined_layer_says_what_was_found():
    with pytest.raises(Invalid, match="Say what was found"):
        Site("layer").record(found="")


def test_a_layer_that_was_not_examined_may_stay_silent():
    assert Site("layer").record(examined=False, found="").examined is False


def test_a_layer_is_recorded_once_a_finding():
    site = Site("layer")
    site.record()
    with pytest.raises(Invalid, match="already there"):
        site.record(found="different content")


def test_what_is_excluded_says_on_what_ground_also_when_it_is_changed():
    site = Site("interpretation")
    with pytest.raises(Refused) as refusal:
        site.record(standing="excluded")
    assert refusal.value.field == "ground"
    row = site.record()
    with pytest.raises(Refused, match="on what ground"):
        site.change(row, 1, standing="excluded")


def test_another_content_under_the_same_key_is_a_conflict():
    site, key = Site("layer"), new_id()
    site.record(key)
    with pytest.raises(Conflict):
        site.record(key, found="hemorrhage")


@pytest.mark.parametrize("grams", ["0", "20001"])
def test_an_impossible_weight_is_refused(grams):
    with pytest.raises(Invalid, match="Between 0 and 20,000 g"):
        Site("organ_weight").record(weight_g=Decimal(grams))


def test_an_organ_has_one_weight_and_a_voided_one_makes_room():
    site = Site("organ_weight")
    row = site.record()
    with pytest.raises(Invalid, match="a weight already"):
        site.record()
    site.void(row, 1)
    site.record()
    assert len(queries.organ_weights_of(site.examination.case)) == 1


def test_nothing_is_ever_deleted():
    for word, model in (
        ("layer", LayerFinding),
        ("interpretation", Interpretation),
        ("mark", Mark),
        ("organ_weight", OrganWeight),
        ("path", WoundPath),
        ("lividity", Lividity),
        ("rigor", Rigor),
    ):
        site = Site(word)
        site.void(site.record(), 1)
        assert model.objects.filter(case=site.examination.case).count() == 1
