"""What a read file is called, when the store is read and how fast: both sides of every limit.

Periods and rates are the office's own (common practice), written out a second time.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from evidence.fixity.rules import Found, is_due, is_overdue, judged, seconds_to_wait

NOW = datetime(2026, 3, 5, 12, tzinfo=UTC)
INSTANT = timedelta(microseconds=1)
WEEK, FORTNIGHT = timedelta(days=7), timedelta(days=14)


@pytest.mark.parametrize(
    ("found", "called"),
    [("ab12", Found.WHOLE), ("ab13", Found.ALTERED), ("", Found.ALTERED), (None, Found.MISSING)],
)
def test_bytes_are_whole_altered_or_missing(found, called):
    assert judged(stored="ab12", found=found) is called


@pytest.mark.parametrize(
    ("tell", "since", "expected"),
    [
        (is_due, None, True),
        (is_due, WEEK - INSTANT, False),
        (is_due, WEEK, True),
        (is_due, WEEK + INSTANT, True),
        (is_overdue, None, True),
        (is_overdue, FORTNIGHT - INSTANT, False),
        (is_overdue, FORTNIGHT, True),
        (is_overdue, FORTNIGHT + INSTANT, True),
    ],
)
def test_a_run_begins_each_week_and_is_missed_after_two(tell, since, expected):
    assert tell(since and NOW - since, now=NOW) is expected


@pytest.mark.parametrize(
    ("size_bytes", "seconds", "rate", "wait"),
    [
        (1000, 0.0, 0, 0.0),  # no bound
        (1000, 0.0, 100, 10.0),
        (1000, 4.0, 100, 6.0),
        (1000, 10.0, 100, 0.0),
        (1000, 10.5, 100, 0.0),  # slower than allowed already
        (1, 0.25, 1, 0.75),
    ],
)
def test_reading_rests_for_what_is_left_of_its_time(size_bytes, seconds, rate, wait):
    waited = seconds_to_wait(size_bytes=size_bytes, seconds=seconds, most_bytes_a_second=rate)
    assert waited == pytest.approx(wait)
