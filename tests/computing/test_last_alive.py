"""A computed time of death that lies before the decedent was last known alive. Common practice."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from cases.models import ReportOfDeath
from cases.review.content import report_content
from findings.calculations.registry import calculate
from findings.computing.last_alive import PARTLY_BEFORE, WHOLLY_BEFORE, cautions_about_last_alive
from findings.computing.prefill import known_for
from me_office.accounts.roles import Role
from tests.builders import make_staff
from tests.computing.builders import full_case, keep

AT = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)
ZONE = ZoneInfo("UTC")


def asked(hours_before, low=10.0, high=20.0, **result):
    alive = AT - timedelta(hours=hours_before) if hours_before is not None else None
    return cautions_about_last_alive({"low_h": low, "high_h": high, **result}, AT, alive, ZONE)


def begins(text):
    return text.text.split("{which}")[0] or text.text.split("}")[1].split("{")[0]


@pytest.mark.parametrize(
    ("hours_before", "caution"),
    [
        (None, None),
        (25, None),
        (20, None),
        (19.9, PARTLY_BEFORE),
        (10, PARTLY_BEFORE),
        (9.9, WHOLLY_BEFORE),
        (1, WHOLLY_BEFORE),
    ],
)
def test_an_interval_before_last_known_alive_is_pointed_out(hours_before, caution):
    said = asked(hours_before)
    assert len(said) == (caution is not None)
    if caution is not None:
        assert begins(caution) in said[0]
        assert "2 Mar 2026" in said[0] or "1 Mar 2026" in said[0]


def test_a_refused_method_and_an_unknown_moment_say_nothing():
    assert asked(1, reason="too cold") == []
    assert cautions_about_last_alive({"low_h": 1, "high_h": 2}, None, AT, ZONE) == []


def test_each_published_line_is_compared_by_itself():
    found = calculate("vitreous_potassium", {"potassium_mmol_L": 12.0}).as_plain()
    # Sturner 46.6 h (13.6 to 79.6), Madea 32.2 h (6.2 to 58.2): by hand; two lines have limits.
    assert len(cautions_about_last_alive(found, AT, AT - timedelta(hours=60), ZONE)) == 1
    said = cautions_about_last_alive(found, AT, AT - timedelta(hours=10), ZONE)
    assert len(said) == 2
    assert "wholly" in said[0] and "Sturner" in said[0]
    assert said[1].startswith("Part of") and "Madea" in said[1]


@pytest.mark.django_db
def test_the_report_points_it_out():
    vasko = make_staff(Role.PATHOLOGIST)
    case = full_case(vasko)
    kept = keep(case, vasko)
    alive = kept.measured_at - timedelta(hours=1)
    ReportOfDeath.objects.filter(case=case).update(
        last_alive_certainty="exact", last_alive_at=alive, last_alive_until=None
    )
    sections = {one["key"]: one for one in report_content(case.pk)["sections"]}
    assert "lies wholly before" in sections["calculations"]["passages"][0]["text"]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("alive", "pronounced", "dead_by"),
    [
        (-120, 30, "found"),
        (-1, None, "found"),
        # Seen to collapse, or found alive: then dead when it was pronounced, if that is known.
        (0, 30, "pronounced"),
        (10, 30, "pronounced"),
        (10, None, None),
    ],
)
def test_who_was_found_alive_was_not_found_dead(alive, pronounced, dead_by):
    found = AT - timedelta(hours=5)
    case = full_case()
    at = found + timedelta(minutes=pronounced) if pronounced is not None else None
    ReportOfDeath.objects.update(
        last_alive_certainty="exact",
        last_alive_at=found + timedelta(minutes=alive),
        found_certainty="exact",
        found_at=found,
        found_until=None,
        pronounced_at=at,
    )
    known = known_for("time_since_death", case, {}).get("found_dead")
    if dead_by is None:
        assert known is None
    else:
        assert known.value == {"found": found, "pronounced": at}[dead_by]
        assert dead_by in known.source
