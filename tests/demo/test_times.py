"""When the acts of the invented cases were done: pure, for every case, loaded on several days."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, datetime, timedelta
from itertools import pairwise
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone

from me_office.demo.cases import CASES
from me_office.demo.clock import told_at
from me_office.demo.loading import Story
from me_office.demo.play import day_of_loading, zero_hour
from me_office.demo.reported import result
from me_office.demo.scenario import (
    Act,
    DemoCase,
    Named,
    OnDay,
    draft,
    exhibit,
    h,
    hand_to_agency,
    one,
    outlined,
    series,
    sign,
    then,
)
from me_office.demo.times import (
    DESKS_CLOSE,
    DESKS_OPEN,
    moments,
    speaks_of,
    told_moment,
    while_open,
)

ZONE = ZoneInfo("America/New_York")
ZERO = datetime(2026, 5, 4, 9, 0, tzinfo=ZONE)
TODAY = date(2026, 6, 1)
# Just after midnight, in both weeks in which clocks are changed, and at a year's end.
LOADED_AT = [
    datetime(2026, 3, 9, 0, 10, tzinfo=ZONE),
    datetime(2026, 7, 1, 12, 0, tzinfo=ZONE),
    datetime(2026, 11, 2, 6, 1, tzinfo=ZONE),
    datetime(2026, 12, 31, 23, 59, tzinfo=ZONE),
]
# Whoever is called out works at night.
BY_NIGHT = {
    "log_report_of_death", "accept_jurisdiction", "decline_jurisdiction", "record_scene",
    "record_reading", "record_place", "record_medication", "record_person",
    "record_identification",
}  # fmt: skip
REVIEW = ["open_examination", "write_report", "submit_report", "sign_off", "add_addendum"]


def played(now: datetime) -> Iterator[tuple[DemoCase, list[datetime]]]:
    for case in CASES:
        zero = zero_hour(case, now).astimezone(ZONE)
        yield case, moments(case, zero, today=now.date())


@pytest.mark.parametrize("now", LOADED_AT, ids=str)
def test_nothing_is_done_in_the_future_or_by_night_but_calls_and_scenes(now: datetime) -> None:
    wrong = [
        f"{case.name}: {act.do} {at}"
        for case, done in played(now)
        for act, at in zip(case.acts, done, strict=True)
        if at > now + timedelta(minutes=1)
        or (at.hour < 6 and case.days_ago and act.do not in BY_NIGHT)
    ]
    assert wrong == []


@pytest.mark.parametrize("now", LOADED_AT, ids=str)
def test_the_day_of_loading_is_known_from_when_a_case_began(now: datetime) -> None:
    assert {day_of_loading(case, zero_hour(case, now)) for case in CASES} == {now.date()}


@pytest.mark.parametrize("now", LOADED_AT, ids=str)
def test_every_act_comes_after_what_it_speaks_of_and_tells_of(now: datetime) -> None:
    for case, done in played(now):
        there = {act.name: at for act, at in zip(case.acts, done, strict=True) if act.name}
        zero = zero_hour(case, now).astimezone(ZONE)
        for act, at in zip(case.acts, done, strict=True):
            for name in speaks_of(act):
                assert there[name] < at, (case.name, act.do, name)
            told = [value for value in act.entry.values() if isinstance(value, timedelta)]
            assert act.do == "log_report_of_death" or all(zero + one <= at for one in told)


def test_a_case_is_examined_before_it_is_written_sent_signed_and_added_to() -> None:
    for case, done in played(LOADED_AT[1]):
        at = {step: [] for step in REVIEW}
        for act, moment in zip(case.acts, done, strict=True):
            if act.do in at:
                at[act.do].append(moment)
        steps = [(min(at[step]), max(at[step])) for step in REVIEW if at[step]]
        if len(at["submit_report"]) == 1:
            assert all(a[1] < b[0] for a, b in pairwise(steps)), case.name
        assert all(a[0] < b[0] and a[1] < b[1] for a, b in pairwise(steps)), case.name
        if at["sign_off"]:
            # Nobody reads a report in the minute in which it was sent.
            assert min(at["sign_off"]) - max(at["submit_report"]) > timedelta(hours=2)


def test_nothing_of_a_case_is_done_before_its_call_is_logged() -> None:
    for _, done in played(LOADED_AT[1]):
        assert min(done[1:], default=done[0] + h(1)) > done[0]
    acts = [one("quill", "log_report_of_death", called_at=h(0)), one("quill", "accept", at=h(0))]
    logged, accepted = moments(DemoCase("one", acts), ZERO, today=TODAY)
    assert timedelta(0) < accepted - logged < timedelta(minutes=2)


def test_photographs_are_taken_in_one_after_another_as_the_log_numbers_them() -> None:
    for case, done in played(LOADED_AT[1]):
        order = sorted(range(len(done)), key=lambda n: (done[n], n))
        shots = [n for n in order if case.acts[n].do == "add_photograph"]
        assert shots == sorted(shots), case.name


def test_an_examination_lasts_and_its_acts_are_not_of_one_moment() -> None:
    for case, done in played(LOADED_AT[1]):
        begun = next(
            (act.entry["began_at"] for act in case.acts if act.do == "open_examination"), None
        )
        ended = [act.entry["ended_at"] for act in case.acts if "ended_at" in act.entry]
        if begun is None or not ended:
            continue
        assert timedelta(hours=2) <= ended[0] - begun <= timedelta(hours=6), case.name
        during = {at for act, at in zip(case.acts, done, strict=True) if act.do == "weigh_organ"}
        assert len(during) == sum(act.do == "weigh_organ" for act in case.acts)


def test_a_body_is_released_only_after_its_examination() -> None:
    for case, done in played(LOADED_AT[1]):
        acts = list(zip(case.acts, done, strict=True))
        gone = [at for act, at in acts if act.do == "release_body"]
        examined = [at for act, at in acts if act.do in {"record_examination", "weigh_organ"}]
        assert not gone or max(examined) < gone[0], case.name
        assert not gone or any("ended_at" in act.entry for act in case.acts), case.name


@pytest.mark.parametrize(
    ("moment", "expected"),
    [
        ("2026-05-04 00:10", "2026-05-04 07:40"),
        ("2026-05-04 07:39", "2026-05-04 07:40"),
        ("2026-05-04 07:40", "2026-05-04 07:40"),
        ("2026-05-04 18:00", "2026-05-04 18:00"),
        ("2026-05-04 18:01", "2026-05-05 07:40"),
        ("2026-05-31 23:59", "2026-06-01 07:40"),
    ],
)
def test_a_desk_waits_for_the_morning(moment: str, expected: str) -> None:
    assert (DESKS_OPEN.hour, DESKS_CLOSE.hour) == (7, 18)
    at, wanted = (datetime.fromisoformat(text).replace(tzinfo=ZONE) for text in (moment, expected))
    assert while_open(at) == wanted


def told(act: Act) -> datetime | None:
    return told_moment(act, ZERO, TODAY)


def test_an_act_says_when_it_was_entered() -> None:
    reading = one("quill", "record_reading", read_at=h(1), began=h(0, 20))
    assert told(reading) == ZERO + h(1, 2)
    assert told(one("quill", "record_scene", arrived_at=h(1), left_at=h(2))) == ZERO + h(2, 12)
    opened = one("vasko", "open_examination", began_at=h(3), ended_at=h(6))
    assert told(opened) == ZERO + h(3, 2)
    assert told(draft("vasko", "draft")) is None
    assert told(*then(h(5), reading)) == ZERO + h(5)
    on_day = told(*then(OnDay(-3, "10:40"), reading))
    assert on_day == datetime(2026, 5, 29, 10, 40, tzinfo=ZONE)


def test_an_act_speaks_of_records_by_their_names_wherever_they_stand() -> None:
    def speaks(act: Act) -> list[str]:
        return list(speaks_of(act))

    assert speaks(sign("draft")) == ["draft"]
    assert speaks(one("vasko", "record_path", exit_finding=Named("exit"))) == ["exit"]
    assert speaks(series("renn", "Chest", "near", "far")) == ["near", "far"]
    assert speaks(outlined("vasko", "near", "chest")) == ["near", "chest"]
    assert speaks(exhibit("vasko", "trial", "S-1", "near", "", "")) == ["trial", "near"]
    assert speaks(hand_to_agency("renn", ("bullet", "casing"), h(1))) == ["bullet", "casing"]
    assert speaks(result("renn", "slides", ("histology", h(1)), ["heart"])) == ["heart"]
    assert speaks(one("amadi", "weigh_organ", organ="heart")) == []


def test_what_says_nothing_follows_the_same_persons_act_and_what_it_speaks_of() -> None:
    acts = [
        one("amadi", "take_specimen", handed_over_at=h(1)),
        one("renn", "record_transfer", at=h(30)),
        one("amadi", "weigh_organ", organ="heart"),
        draft("amadi", "draft"),
        sign("draft"),
        *then(h(20), sign("draft")),
        one("renn", "make_series", photograph_ids=[Named("draft")]),
    ]
    at = moments(DemoCase("one", acts), ZERO, today=TODAY)
    minutes = [(moment.replace(second=0) - ZERO).total_seconds() / 60 for moment in at]
    assert minutes == [62, 1802, 65, 77, 80, 1200, 1805]
    assert len({moment.second for moment in at}) > 4


class Moved:
    """Notes what it is asked to move."""

    def __init__(self) -> None:
        self.asked: list[dict[UUID, datetime]] = []

    def may_move(self) -> bool:
        return True

    def move(self, moments: Mapping[UUID, datetime]) -> None:
        self.asked.append(dict(moments))


def test_each_act_is_moved_once_and_one_under_way_again_when_it_has_ended() -> None:
    mover, first, second = Moved(), uuid4(), uuid4()
    story = Story(mover)
    with story.told(first, ZERO):
        assert timezone.now() == ZERO
    with story.told(second, ZERO + h(2)):
        assert timezone.now() == ZERO + h(2)
        story.move()
    story.move()
    story.move()
    assert mover.asked == [{first: ZERO, second: ZERO + h(2)}, {second: ZERO + h(2)}]


def test_no_act_is_told_a_moment_after_that_of_loading() -> None:
    mover, key = Moved(), uuid4()
    story = Story(mover)
    with story.told(key, story.latest + h(1)):
        assert timezone.now() == story.latest
    story.move()
    assert mover.asked == [{key: story.latest}]


def test_without_the_owner_everything_keeps_the_time_of_loading() -> None:
    story = Story(None)
    before = timezone.now()
    with story.told(uuid4(), ZERO):
        assert before <= timezone.now()
    story.move()
    assert story.waiting == {}


def test_a_moment_is_told_to_the_block_alone() -> None:
    before = timezone.now()
    with pytest.raises(KeyError), told_at(ZERO):
        assert timezone.now() == ZERO
        raise KeyError
    assert before <= timezone.now()
