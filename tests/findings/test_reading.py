"""The body chart as a list: part by part, head to foot, with what can be done."""

from __future__ import annotations

import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from findings.body.regions import REGIONS
from findings.body.views import SCHEMATICS
from findings.chart.reading import (
    NOT_ON_CHART,
    ON_SCHEMATIC,
    PARTS,
    Lies,
    head_to_foot,
    part_of,
)
from findings.models import Examination
from me_office.accounts.roles import Role
from tests.builders import make_staff
from tests.findings.builders import a_mark, make_finding


def test_every_region_is_read_under_a_part_of_the_body() -> None:
    groups = {one.group for one in REGIONS.values()}
    assert groups == set(PARTS)
    for one in REGIONS.values():
        assert part_of(Lies(1, one.key, "anterior", 500.0)) == PARTS[one.group]
    for view in SCHEMATICS:
        assert part_of(Lies(1, "cheek_l", view, None)) == ON_SCHEMATIC
    assert part_of(Lies(1, "", "", None)) == NOT_ON_CHART


def test_findings_are_read_head_to_foot_and_within_a_part_from_above() -> None:
    found = [
        Lies(1, "sole_l", "foot_left_plantar", 2.0),
        Lies(2, "", "", None),
        Lies(3, "pectoral_r", "anterior", 700.0),
        Lies(4, "sternal", "anterior", 760.0),
        Lies(5, "pectoral_l", "anterior", 700.0),
        Lies(6, "temporal_bone_l", "skull_left", None),
        Lies(7, "cheek_l", "anterior", 900.0),
        Lies(8, "lower_chest_l", "anterior", None),
    ]
    assert head_to_foot(found) == [
        ("Face", [7]),
        ("Chest", [4, 3, 5, 8]),
        ("Feet", [1]),
        (ON_SCHEMATIC, [6]),
        (NOT_ON_CHART, [2]),
    ]
    assert head_to_foot([]) == []


@pytest.mark.django_db
def test_the_list_says_what_the_drawing_shows_and_leads_to_each_act(
    client: Client, examination: Examination
) -> None:
    leg = make_finding(examination, term="Scar", klass="identifying feature", place="Left calf")
    chest = make_finding(
        examination, marks=[a_mark(), a_mark("line", [[60.0, 600.0], [70.0, 640.0]])]
    )
    client.force_login(examination.pathologist)
    page = client.get(reverse("findings:chart-list", args=[examination.case_id])).content.decode()
    text = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))
    assert re.findall(r"<h2>([^<]+)</h2>", page)[:2] == ["Chest", "Not on the chart"]
    assert "2 Contusion, right lower chest (costal region)" in text
    assert "Injury. About 121 cm above the heel, about 12 cm right of the anterior midline" in text
    assert "Point, right lower chest (costal region)" in text
    assert "Line, left anterior thigh" in text
    assert "1 Scar, left calf" in text and "Identifying feature." in text
    for name in (
        "Move mark 2 of finding 2",
        "Change finding 1",
        "Photographs of finding 2",
        "Finding 2 on the chart",
        "Add a mark to finding 1",
    ):
        assert f'aria-label="{name}"' in page
    assert f"?finding={chest.pk}&amp;view=anterior" in page
    assert reverse("findings:finding-change", args=[examination.case_id, leg.pk]) in page

    # Who only reads is offered nothing else.
    client.force_login(make_staff(Role.SUPERVISOR))
    seen = client.get(reverse("findings:chart-list", args=[examination.case_id]))
    assert seen.status_code == 200 and "Change finding" not in seen.content.decode()


@pytest.mark.django_db
def test_the_list_takes_a_fixed_number_of_statements(
    client: Client, examination: Examination
) -> None:
    client.force_login(examination.pathologist)
    address = reverse("findings:chart-list", args=[examination.case_id])
    counts = []
    for _ in range(3):
        make_finding(examination, marks=[a_mark()])
    for more in range(2):
        if more:
            for _ in range(12):
                make_finding(examination, marks=[a_mark(), a_mark("point", [[60.0, 600.0]])])
        client.get(address)
        with CaptureQueriesContext(connection) as seen:
            client.get(address)
        counts.append(len(seen))
    assert counts[0] == counts[1]
