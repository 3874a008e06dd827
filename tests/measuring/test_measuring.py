"""Measuring in a photograph: kept, refused with the reason, used in a finding, withdrawn."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from cases.rules.case import CaseState
from evidence.measuring import actions, queries
from evidence.measuring.models import Measurement, MeasurementUse
from evidence.photographs.models import PhotographFinding
from findings.models import Finding
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_case, make_staff
from tests.evidence.pictures import make_finding, take_away
from tests.measuring.pictures import measured, right_angled, straight

pytestmark = pytest.mark.django_db


def test_a_measurement_is_kept_with_its_interval_method_and_event(vasko, photograph):
    kept = measured(vasko, photograph, note="widest part")
    length = kept.result["quantities"][0]
    assert length["value"] == pytest.approx(30)
    assert length["low"] < 30 < length["high"]
    assert kept.words == "3.0 cm (2.6 to 3.4), tilt up to 5°, in the plane of the scale"
    assert (kept.method, kept.method_version) == ("photo_measurement", "2.0")
    assert kept.result["interval"].startswith("limits, not 95 %: every tilt of the camera up to 5")
    assert kept.inputs["photograph_sha256"] == photograph.file.sha256
    event = AuditEvent.objects.get(table="measuring_measurement")
    assert (event.act, event.actor_name) == ("measure_photograph", "Dr. I. Vasko")


def test_a_right_angled_scale_gives_area_perimeter_and_residual(vasko, photograph):
    kept = measured(vasko, photograph, entry=right_angled())
    area, perimeter = kept.result["quantities"]
    assert area["value"] == pytest.approx(600)
    assert perimeter["value"] == pytest.approx(100)
    assert kept.result["residual_mm"] == pytest.approx(0, abs=1e-6)
    assert kept.words.startswith("area 6.0")
    assert kept.inputs["scale_source"].startswith("Hyzer")


def test_the_same_request_twice_is_one_measurement(vasko, photograph):
    def send(record_id, **changed):
        return actions.measure_photograph(
            vasko, case_id=photograph.case_id, record_id=record_id,
            photograph_id=photograph.pk, entry=straight(**changed),
        )  # fmt: skip

    key = new_id()
    assert send(key).pk == send(key).pk
    assert Measurement.objects.count() == 1
    with pytest.raises(Conflict):
        send(key, points=[[300, 400], [500, 400]])


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"scale_points": []}, "no scale"),
        ({"scale_in_plane": False}, "does not lie in the plane"),
        ({"points": [[300, 400]]}, "pick 2 points"),
        ({"points": [[300, 400], [300, 400]]}, "all points are the same"),
        ({"points": [[300, 400], [1300, 400]]}, "outside the picture"),
        ({"points": [[300, 400], ["a", 400]]}, "number is needed"),
        ({"points": "many"}, "list of points"),
        ({"kind": "volume"}, "Choose length"),
        ({"scale_kind": "bent"}, "Choose the kind of scale"),
        ({"kind": "area", "points": [[300, 300], [400, 400], [400, 300], [300, 400]]}, "crosses"),
        ({"kind": "angle", "points": [[300, 300], [300, 300], [400, 300]]}, "two legs"),
    ],
)
def test_what_cannot_be_measured_is_refused_with_the_reason(vasko, photograph, changed, said):
    with pytest.raises(Refused, match=said):
        measured(vasko, photograph, **changed)
    assert not Measurement.objects.exists()


def moved(index, by):
    entry = right_angled()
    entry["scale_points"][index]["px"][0] += by
    return entry


def in_line():
    entry = right_angled()
    for place, point in enumerate(entry["scale_points"]):
        point["px"] = [100 + 100 * place, 700]
    return entry


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        (moved(1, 120), "do not fit one plane"),
        (in_line(), "in one line"),
        (right_angled(points=[[300, 20], [310, 20], [310, 30]]) | {
            "scale_points": [
                {"label": "", "px": [100 + 2 * x, 760 - 2 * y], "mm": [x, y]}
                for x, y in ((0, 0), (40, 0), (40, 40), (0, 40))
            ]
        }, "far outside the scale"),
    ],
)  # fmt: skip
def test_a_scale_that_does_not_hold_is_refused_with_the_reason(vasko, photograph, entry, said):
    with pytest.raises(Refused, match=said):
        measured(vasko, photograph, entry=entry)


def test_who_may_not_and_what_is_locked(vasko, photograph):
    clerk = make_staff(Role.RECORDS_CLERK)
    with pytest.raises(NotAllowed):
        measured(clerk, photograph)
    take_away(vasko, photograph)
    with pytest.raises(Refused, match="withdrawn"):
        measured(vasko, photograph)
    photograph.case.state = CaseState.SIGNED
    photograph.case.signed_at = photograph.created_at
    photograph.case.save()
    with pytest.raises(NotAllowed, match="signed and locked"):
        measured(vasko, photograph)


def test_a_finding_of_another_case_is_not_known(vasko, photograph):
    other = make_finding(make_case(), vasko)
    with pytest.raises(NotKnown):
        measured(vasko, photograph, finding_id=other.pk)


def use(actor, measurement, finding, **changed):
    return actions.use_measurement(
        actor,
        **{
            "case_id": measurement.case_id,
            "measurement_id": measurement.pk,
            "record_id": new_id(),
            "finding_id": finding.pk,
            "version": finding.version,
            "dimension": "length",
            **changed,
        },
    )


def test_a_size_goes_to_the_finding_as_measured_on_the_photograph(vasko, photograph):
    finding = make_finding(photograph.case, vasko)
    made = use(vasko, measured(vasko, photograph), finding)
    stands = Finding.objects.get()
    assert (float(stands.length_mm), stands.measured_by) == (30.0, "photograph")
    assert PhotographFinding.objects.get().finding == finding
    event = AuditEvent.objects.filter(table="findings_finding").last()
    assert event.reason == "Measured on photograph 1 (measurement 1)"
    assert made.finding == finding


def test_a_finding_that_is_measured_in_a_photograph_is_linked_to_it_once(vasko, photograph):
    finding = make_finding(photograph.case, vasko)
    for _ in range(2):
        measured(vasko, photograph, finding_id=finding.pk)
    assert PhotographFinding.objects.get().finding == finding
    measured(vasko, photograph)
    assert PhotographFinding.objects.count() == 1


def test_a_use_is_refused_when_stale_by_role_by_kind_and_when_withdrawn(vasko, photograph):
    finding = make_finding(photograph.case, vasko)
    kept = measured(vasko, photograph)
    with pytest.raises(StaleRecord):
        use(vasko, kept, finding, version=7)
    with pytest.raises(NotAllowed):
        use(make_staff(Role.EVIDENCE_TECHNICIAN), kept, finding)
    with pytest.raises(Refused, match="length or width"):
        use(vasko, kept, finding, dimension="depth")
    with pytest.raises(Refused, match="from a length"):
        use(vasko, measured(vasko, photograph, entry=right_angled()), finding)
    key = new_id()
    assert (
        use(vasko, kept, finding, record_id=key).pk == use(vasko, kept, finding, record_id=key).pk
    )
    assert MeasurementUse.objects.count() == 1
    actions.void_measurement(
        vasko, case_id=kept.case_id, measurement_id=kept.pk, version=1, reason="wrong edge"
    )
    with pytest.raises(Refused, match="withdrawn"):
        use(vasko, kept, Finding.objects.get())


def test_a_withdrawn_measurement_keeps_its_number(vasko, photograph):
    kept = measured(vasko, photograph)
    keys = {"case_id": kept.case_id, "measurement_id": kept.pk}
    with pytest.raises(StaleRecord):
        actions.void_measurement(vasko, **keys, version=2, reason="wrong edge")
    with pytest.raises(Refused):
        actions.void_measurement(vasko, **keys, version=1, reason=" ")
    with pytest.raises(NotAllowed):
        actions.void_measurement(
            make_staff(Role.SUPERVISOR), **keys, version=1, reason="wrong edge"
        )
    actions.void_measurement(vasko, **keys, version=1, reason="wrong edge")
    assert AuditEvent.objects.filter(act="void_measurement", reason="wrong edge").exists()
    assert queries.measurements_of(photograph) == []
    assert measured(vasko, photograph).number == 2


def test_measurements_are_read_in_a_fixed_number_of_statements(vasko, photograph):
    counted = []
    for wanted in (3, 60):
        while Measurement.objects.count() < wanted:
            measured(vasko, photograph)
        with CaptureQueriesContext(
            connection,
        ) as context:
            assert len(queries.measurements_of(photograph)) == wanted
        counted.append(len(context))
    assert counted[0] == counted[1] == 2
