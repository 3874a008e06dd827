"""Each figure: what it counts and what not, on both sides of each limit."""

from __future__ import annotations

from datetime import date, timedelta
from uuid import UUID

import pytest

from cases.measures.figures import (
    NO_CAUSE,
    Examined,
    Figure,
    Returned,
    open_by_age,
    pending_by_reason,
    returned_by_cause,
    turn_around,
    workload,
)
from cases.measures.rules import Period, period_of
from cases.measures.waits import Wait, WaitKind

TODAY = date(2026, 11, 29)
PERIOD = period_of("", TODAY)
NAMES = {"v": "Dr. Vasko", "a": "Dr. Amadi"}


def key(n: int) -> UUID:
    return UUID(int=n)


def exam(n: int, ago: int, after: int | None = None, *, kind="full autopsy", person="v"):
    """One that began so many days ago and was signed so many days after."""
    began = TODAY - timedelta(days=ago)
    signed = None if after is None else began + timedelta(days=after)
    return Examined(key(n), f"2026-{n:04}", kind, person, began, signed)


def counts(figure: Figure) -> dict[str, int]:
    return {part.key: part.count for part in figure.parts}


def test_turn_around_on_both_sides_of_each_limit():
    rows = [
        exam(n, 200, after)
        for n, after in enumerate((0, 30, 31, 60, 61, 90, 91, 150))
    ]  # fmt: skip
    found = turn_around(rows, PERIOD, TODAY)
    assert counts(found.figure) == {
        "signed": 8, "open": 0, "within-30": 2, "within-60": 4, "within-90": 6, "late": 2,
        "late-open": 0,
    }  # fmt: skip
    assert [share.words for share in found.shares] == ["2 of 8", "4 of 8", "6 of 8"]
    assert (
        found.median_words == "Median: half are signed within 60 days (n = 8 reports, open ones "
        "included)."
    )


@pytest.mark.parametrize(("ago", "of", "late"), [(90, 0, 0), (91, 1, 1)])
def test_an_open_report_counts_as_late_once_the_ninetieth_day_is_over(ago, of, late):
    found = turn_around([exam(1, ago)], PERIOD, TODAY)
    assert found.shares[2].of == of
    assert counts(found.figure)["late-open"] == late
    assert counts(found.figure)["open"] == 1


def test_open_reports_are_in_the_estimate_and_their_number_and_age_are_said():
    rows = [exam(n, 100, 40) for n in range(6)] + [exam(10 + n, 20 + n) for n in range(6)]
    found = turn_around(rows, PERIOD, TODAY)
    part = found.figure.part("open")
    assert part is not None
    assert (part.count, part.note) == (6, "the oldest for 25 days")
    assert [row.days for row in part.rows] == [25, 24, 23, 22, 21, 20]
    assert found.curve.n == 12
    assert found.shares[0].estimate == 0
    assert found.shares[1].estimate == 1
    assert found.shares[2].words == "6 of 6"


@pytest.mark.parametrize(("n", "told"), [(9, False), (10, True)])
def test_no_estimate_of_fewer_than_ten(n, told):
    found = turn_around([exam(k, 200, 10 * k) for k in range(n)], PERIOD, TODAY)
    assert bool(found.shares[1].estimate_words) is told
    assert ("%" in found.shares[1].words) is told


def test_the_estimate_is_told_with_its_interval():
    rows = [exam(k, 200, 5 * k) for k in range(20)]
    [first, _, last] = turn_around(rows, PERIOD, TODAY).shares
    assert first.estimate_words == "35% (18% to 60%)"
    assert last.estimate_words == "95% (79% to 99%)"


def test_only_autopsies_are_counted_unless_every_kind_is_asked_for():
    kinds = ("full autopsy", "limited", "second autopsy", "external", "chart review",
             "view and release", "skeletal remains", "imaging only")  # fmt: skip
    rows = [exam(n, 100, 10, kind=kind) for n, kind in enumerate(kinds)]
    assert counts(turn_around(rows, PERIOD, TODAY).figure)["signed"] == 3
    every = turn_around(rows, PERIOD, TODAY, all_kinds=True)
    assert counts(every.figure)["signed"] == 8
    assert every.figure.counts.startswith("Examinations of every kind that began from 30 Nov 2025")


def test_a_signature_before_the_examination_is_left_out_and_said():
    found = turn_around([exam(1, 100, -1), exam(2, 100, 0)], PERIOD, TODAY)
    assert counts(found.figure)["backward"] == 1
    assert counts(found.figure)["signed"] == 1
    assert "before the examination" in found.figure.left_out
    assert "backward" not in counts(turn_around([exam(2, 100, 0)], PERIOD, TODAY).figure)


def test_nothing_and_half_in_words():
    assert turn_around([], PERIOD, TODAY).median_words == "No examination is counted."
    assert turn_around([], PERIOD, TODAY).shares[0].words == "none is that old yet"
    one = turn_around([exam(1, 10, 0)], PERIOD, TODAY).median_words
    assert (
        one == "Median: half are signed on the day of the examination (n = 1 report, open ones "
        "included)."
    )
    none = turn_around([exam(1, 10)], PERIOD, TODAY).median_words
    assert none == "Fewer than half are signed so far (n = 1 report)."


def test_the_cases_behind_a_number_come_in_order_with_what_is_known_of_each():
    rows = [exam(2, 50, 10), exam(1, 60, 20, kind="limited", person="a")]
    part = turn_around(rows, PERIOD, TODAY).figure.part("signed")
    assert part is not None
    first = part.rows[0]
    assert (first.label, first.person, first.days, first.detail) == (
        "2026-0001",
        "a",
        20,
        "limited",
    )
    assert first.ended_on == first.began_on + timedelta(days=20)
    assert turn_around(rows, PERIOD, TODAY).figure.part("nothing") is None


def test_days_go_over_a_leap_day():
    one = Examined(key(1), "1", "full autopsy", "v", date(2028, 2, 28), date(2028, 3, 1))
    assert one.days(date(2028, 6, 1)) == 2
    other = Examined(key(1), "1", "full autopsy", "v", date(2027, 2, 28), date(2027, 3, 1))
    assert other.days(date(2028, 6, 1)) == 1


def test_each_pathologist_s_examinations_by_kind():
    rows = [
        exam(1, 10), exam(2, 10, kind="external"), exam(3, 10, kind="chart review"),
        exam(4, 10, person="a", kind="limited"),
    ]  # fmt: skip
    found = workload(rows, NAMES, PERIOD, TODAY)
    assert [
        (one.name, one.autopsies.count, one.external.count, one.other.count) for one in found.people
    ] == [("Dr. Amadi", 1, 0, 0), ("Dr. Vasko", 1, 1, 1)]
    assert [part.key for part in found.figure.parts][:3] == ["autopsy.a", "external.a", "other.a"]
    assert found.figure.parts[3].words == "autopsies, Dr. Vasko"


@pytest.mark.parametrize(
    ("autopsies", "is_over", "words"),
    [
        (250, True, "within the recommendation"), (250, False, "the year is not over"),
        (251, True, "above 250"), (251, False, "above 250"), (326, False, "above 325"),
    ],
)  # fmt: skip
def test_a_load_is_compared_with_a_whole_year(autopsies, is_over, words):
    period = Period("2026", date(2026, 1, 1), TODAY, is_over)
    rows = [exam(n, 10) for n in range(autopsies)]
    # Externals stand beside and make no difference.
    rows += [exam(1000 + n, 10, kind="external") for n in range(400)]
    [one] = workload(rows, NAMES, period, TODAY).people
    assert one.load_words == words


def waits(kind: WaitKind, n: int, ago: int, **more) -> Wait:
    since = TODAY - timedelta(days=ago)
    return Wait(kind, key(n), f"2026-{n:04}", since, "v", **more)


def test_open_reports_by_the_days_since_the_examination():
    ages = (0, 30, 31, 90, 91, 180, 181)
    rows = [
        waits(WaitKind.WRITING, n, 1, examined_on=TODAY - timedelta(days=age))
        for n, age in enumerate(ages)
    ]
    rows += [
        waits(WaitKind.NOT_EXAMINED, 50, 400), waits(WaitKind.PENDING, 51, 400, examined_on=TODAY),
        waits(WaitKind.RESULTS, 52, 400, examined_on=TODAY),
    ]  # fmt: skip
    for n, kind in enumerate((WaitKind.NOT_BEGUN, WaitKind.IN_REVIEW, WaitKind.SENT_BACK)):
        rows.append(waits(kind, 60 + n, 1, examined_on=TODAY - timedelta(days=75)))
    figure = open_by_age(rows, TODAY)
    assert counts(figure) == {"to-30": 2, "to-60": 1, "to-90": 4, "to-180": 2, "over": 1}
    assert figure.parts[2].note == "the oldest for 90 days"
    assert open_by_age([], TODAY).parts[0].note == ""


def test_a_pending_case_counts_under_each_of_its_reasons():
    rows = [
        waits(WaitKind.PENDING, 1, 40, reasons=("toxicology", "histology")),
        waits(WaitKind.PENDING, 2, 50, reasons=("toxicology",)),
        waits(WaitKind.RESULTS, 3, 60, reasons=("toxicology",)),
    ]
    figure = pending_by_reason(rows, TODAY)
    assert counts(figure) == {"all": 2, "reason.toxicology": 2, "reason.histology": 1}
    assert [row.days for row in figure.parts[0].rows] == [50, 40]
    assert figure.parts[0].note == "the oldest for 50 days"
    assert pending_by_reason([], TODAY).parts == ()


def test_drafts_sent_back_by_cause():
    def back(n: int, *causes: str) -> Returned:
        return Returned(key(n), f"2026-{n:04}", "v", TODAY - timedelta(days=n), causes)

    rows = [back(1, "cause not supported", "photographs"), back(2), back(3, "photographs")]
    figure = returned_by_cause(rows, PERIOD)
    assert counts(figure) == {
        "all": 3, "cause.photographs": 2, "cause.cause not supported": 1, f"cause.{NO_CAUSE}": 1,
    }  # fmt: skip
    assert figure.parts[0].rows[0].label == "2026-0003"
    assert returned_by_cause([], PERIOD).parts == ()
