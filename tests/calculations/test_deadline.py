"""Rule 6 deadlines: outside calendar, invariants, and the edges of the rule."""

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from findings.calculations.federal_holidays import holiday_on
from findings.calculations.fields import BadInput
from findings.calculations.registry import calculate

OUTSIDE = json.loads(Path(__file__).with_name("federal_days.json").read_text(encoding="utf-8"))
DAY = timedelta(days=1)
quick = settings(max_examples=80, deadline=None)


def deadline(**inputs: object) -> str:
    return str(calculate("deadlines", inputs).outcome.value)


def is_open(day: date) -> bool:
    """An open day by the outside calendar."""
    return day.weekday() < 5 and f"{day:%m-%d}" not in OUTSIDE["days"][str(day.year)]


@pytest.mark.parametrize("year", range(2010, 2041))
def test_legal_holidays_are_those_of_the_outside_calendar(year: int) -> None:
    # The PyPI package holidays 0.109, own and observed days of the United States.
    days = [date(year, 1, 1) + DAY * n for n in range(366)]
    ours = [f"{day:%m-%d}" for day in days if day.year == year and holiday_on(day)]
    assert ours == OUTSIDE["days"][str(year)]


@quick
@given(st.dates(date(2010, 1, 1), date(2037, 12, 31)), st.integers(1, 400), st.booleans())
def test_a_period_ends_on_the_first_open_day_in_its_direction(
    trigger: date, days: int, before: bool
) -> None:
    if before and trigger - DAY * (days + 10) < date(2010, 1, 1):
        return
    step = -DAY if before else DAY
    expected = trigger + days * step
    while not is_open(expected):
        expected += step
    found = deadline(
        trigger=trigger.isoformat(), days=days, direction="before" if before else "after"
    )
    assert date.fromisoformat(found[:10]) == expected


@quick
@given(st.dates(date(2010, 1, 1), date(2037, 12, 31)), st.integers(1, 60))
def test_three_days_for_service_never_come_before_the_plain_end(trigger: date, days: int) -> None:
    plain, served = (
        date.fromisoformat(
            deadline(trigger=trigger.isoformat(), days=days, service_adds_3=adds)[:10]
        )
        for adds in (False, True)
    )
    assert plain + 3 * DAY <= served <= plain + 10 * DAY
    assert is_open(served)


@quick
@given(
    st.datetimes(datetime(2015, 1, 5), datetime(2035, 12, 1)).filter(lambda when: when.hour > 3),
    st.integers(1, 500),
)
def test_hours_are_elapsed_hours(trigger: datetime, hours: int) -> None:
    zone = ZoneInfo("America/New_York")
    trigger = trigger.replace(second=0, microsecond=0)
    found = deadline(trigger=trigger.isoformat(), zone=zone.key, hours=hours)
    end = datetime.fromisoformat(found).replace(tzinfo=zone)
    exact = (trigger.replace(tzinfo=zone).astimezone(UTC) + timedelta(hours=hours)).astimezone(zone)
    if is_open(exact.date()) and exact.fold == 0:
        assert end == exact
    else:
        assert end >= exact
    assert is_open(end.date())


def test_a_weekend_end_of_hours_goes_on_to_the_same_time() -> None:
    # Rule 6(a)(2)(C). Friday 10:00 and 30 hours is Saturday 16:00.
    found = deadline(trigger="2026-06-05T10:00", zone="America/New_York", hours=30)
    assert found == "2026-06-08T16:00"


def test_a_saturday_holiday_observed_on_friday_is_said() -> None:
    # Friday 2026-07-03 is the observed day of Saturday 2026-07-04.
    outcome = calculate("deadlines", {"trigger": "2026-06-19", "days": 14}).outcome
    assert outcome.value == "2026-07-06 Monday"
    assert any("Friday" in warning for warning in outcome.warnings)


def test_a_declared_day_is_passed_over() -> None:
    # Days declared by the President or Congress count as legal holidays: 6(a)(6)(B).
    plain = deadline(trigger="2026-06-02", days=7)
    declared = deadline(trigger="2026-06-02", days=7, declared_holidays=["2026-06-09"])
    assert (plain, declared) == ("2026-06-09 Tuesday", "2026-06-10 Wednesday")


def test_the_day_after_the_three_days_of_service_must_be_accessible_too() -> None:
    # Rule 6(d) adds three days "after the period would otherwise expire under Rule 6(a)"; the
    # end then found is again one of 6(a)(3). Worked by hand from the rule's text.
    asked = {"trigger": "2026-06-01", "days": 7, "service_adds_3": True}
    assert deadline(**asked) == "2026-06-11 Thursday"
    for closed, end in (
        (["2026-06-11"], "2026-06-12 Friday"),
        (["2026-06-11", "2026-06-12"], "2026-06-15 Monday"),
        (["2026-06-08"], "2026-06-12 Friday"),
        (["2026-06-10"], "2026-06-11 Thursday"),
    ):
        assert deadline(**asked, clerk_inaccessible=closed) == end, closed


def test_a_date_fixed_by_the_court_is_not_computed() -> None:
    outcome = calculate(
        "deadlines", {"trigger": "2026-06-02", "days": 7, "fixed_by_court": True}
    ).outcome
    assert outcome.value is None
    assert "court has fixed" in (outcome.reason or "")


@pytest.mark.parametrize(
    ("inputs", "field"),
    [
        ({"trigger": "2026-06-31", "days": 3}, "trigger"),
        ({"trigger": "1492-06-01", "days": 3}, "trigger"),
        ({"trigger": "2026-06-01"}, "days"),
        ({"trigger": "2026-06-01", "days": 3, "hours": 3}, "days"),
        ({"trigger": "2026-06-01", "days": 0}, "days"),
        ({"trigger": "2026-06-01", "hours": 72, "zone": "America/New_York"}, "trigger"),
        ({"trigger": "2026-06-01T10:00", "hours": 72}, "zone"),
        ({"trigger": "2026-06-01T10:00", "hours": 72, "zone": "../etc/passwd"}, "zone"),
        ({"trigger": "2026-03-08T02:30", "hours": 1, "zone": "America/New_York"}, "trigger"),
        ({"trigger": "2026-06-01", "days": 9, "direction": "before", "service_adds_3": True},
         "service_adds_3"),
    ],
)  # fmt: skip
def test_a_wrong_field_is_named(inputs: dict[str, object], field: str) -> None:
    with pytest.raises(BadInput) as caught:
        calculate("deadlines", inputs)
    assert caught.value.field == field
