"""Measurements of version 1.0 by a straight scale: kept as they are, shown without interval."""

from __future__ import annotations

import csv
import io

import pytest
from django.urls import reverse

from cases.packets.measured import caution, measurement_rows, measurement_values
from cases.packets.measured import printed_measurements as printed
from cases.review.measured import measured_words
from evidence.measuring import actions, copy_rules, queries
from evidence.measuring.models import Measurement
from evidence.measuring.rules import CopyKind
from evidence.photographs import tasks
from me_office.audit.errors import Refused
from me_office.audit.ids import new_id
from tests.builders import make_case
from tests.evidence.pictures import make_finding
from tests.measuring.pictures import measured, photograph_with_scale, right_angled

pytestmark = pytest.mark.django_db
# What 1.0 answered to the points of `pictures.straight`.
OLD = {
    "quantities": [
        {"name": "length", "unit": "mm", "value": 30.0, "u": 0.3, "low": 29.4, "high": 30.6}
    ],
    "residual_mm": None,
    "warnings": [
        "straight scale: true only if the camera looked square on, at scale and object",
        "near the picture's edge: the lens may distort there",
    ],
    "interval": "95 %, 1.96 u, linear propagation",
    "plane": "in the plane of the scale",
}


@pytest.fixture
def old(vasko):
    photograph = photograph_with_scale(vasko, make_case())
    tasks.derive_images(photograph_id=str(photograph.pk))
    kept = measured(vasko, photograph)
    Measurement.objects.filter(pk=kept.pk).update(result=OLD, method_version="1.0")
    return Measurement.objects.get()


def test_the_old_interval_is_shown_nowhere_and_what_is_kept_stays(old, vasko, client):
    assert old.words == "3.0 cm (no interval), in the plane of the scale"
    client.force_login(vasko)
    keys = {"case_id": old.case_id, "photograph_id": old.photograph_id}
    page = client.get(reverse("measuring:measure", kwargs=keys)).content.decode()
    listed = client.get(f"/api/cases/{old.case_id}/photographs/{old.photograph_id}/measurements/")
    (told,) = listed.json()
    assert (
        told["result"]["quantities"][0] | {"low": None, "high": None, "u": None}
        == (told["result"]["quantities"][0])
    )
    (line,) = printed([*queries.measurements_of(old.photograph)])
    rows = list(measurement_rows(queries.measurements_of(old.photograph)))
    values = measurement_values(queries.measurements_of(old.photograph))
    for said in (page, listed.content.decode(), str(line), str(rows), str(values)):
        assert "29.4" not in said
        assert "2.94" not in said
        assert "95 %" not in said
        assert "left out the camera" in said
    assert "near the picture's edge" in str(line).casefold()
    assert "Use in a finding" not in page
    written = io.StringIO()
    csv.writer(written).writerows(rows)
    (row,) = csv.DictReader(io.StringIO(written.getvalue()))
    assert (row["Low"], row["High"], row["Covered by the interval"]) == ("", "", "")
    assert Measurement.objects.get().result == OLD


def test_the_report_says_that_there_is_no_interval(old):
    use = {
        "finding": "1", "dimension": "length", "photograph": 1, "measurement": 1, "result": OLD,
        "scale_kind": "straight", "method_version": "1.0",
    }  # fmt: skip
    assert measured_words([use]) == (
        "On photograph 1 its length measures 3.0 cm (no interval), no interval: measured by an "
        "earlier method that left out the camera's tilt, in the plane of the scale."
    )


def test_two_scales_in_one_sentence_have_an_interval_each(vasko):
    photograph = photograph_with_scale(vasko, make_case())
    straight = measured(vasko, photograph)
    angled = measured(
        vasko, photograph, entry=right_angled(kind="length", points=[[300, 400], [600, 400]])
    )
    uses = [
        {
            "finding": "1", "dimension": dimension, "photograph": 1, "measurement": one.number,
            "result": one.result, "scale_kind": one.scale_kind,
            "method_version": one.method_version,
        }
        for one, dimension in ((angled, "length"), (straight, "width"))
    ]  # fmt: skip
    words = measured_words(uses)
    assert (
        "3.04), 95 % interval, and its width measures 3.0 cm (2.6 to 3.4), straight scale" in words
    )
    assert words.endswith("limits for a camera tilted up to 5°, in the plane of the scale.")
    said = caution([straight, angled])
    assert "Intervals: 95 %, 1.96 u" in said
    assert "not 95 % intervals" in said
    assert said.count("curved skin") == 2
    assert "not 95 % intervals" not in caution([angled])
    assert "Intervals: 95 %" not in caution([straight])


def test_no_finding_takes_its_size_from_it(old, vasko):
    finding = make_finding(old.case, vasko)
    with pytest.raises(Refused, match="Measure again"):
        actions.use_measurement(
            vasko, case_id=old.case_id, measurement_id=old.pk, record_id=new_id(),
            finding_id=finding.pk, version=1, dimension="length",
        )  # fmt: skip


def test_a_copy_of_it_draws_no_interval(old):
    *_, marks = copy_rules.operations_for(CopyKind.MARKED, old)
    assert marks["words"][0]["text"] == "3.0 cm (no interval), in the plane of the scale"


def test_a_right_angled_scale_of_that_version_keeps_its_interval(vasko):
    photograph = photograph_with_scale(vasko, make_case())
    kept = measured(vasko, photograph, entry=right_angled())
    Measurement.objects.filter(pk=kept.pk).update(method_version="1.0")
    stands = Measurement.objects.get()
    assert stands.words == kept.words
    assert stands.shown == stands.result
