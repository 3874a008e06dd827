"""Moments of the office where its clocks are changed: typed, kept, shown and sent by the API.

Which changes there are comes from the time zone database (IANA tzdata) through `zoneinfo`: every
minute of a year is taken through the form and compared with it.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django import forms
from django.utils import timezone
from hypothesis import given, settings
from hypothesis import strategies as st
from rest_framework import serializers

from cases.models import Case
from me_office import moments
from me_office.shell.api_moment import ApiMomentField
from me_office.shell.forms import OfficeForm
from me_office.shell.moment_field import Typed, readings_of
from me_office.shell.templatetags.office import clock, moment, short_moment
from tests.builders import make_case

# An hour in autumn; an hour with "summer" as the zone's standard time; half an hour in the south.
ZONES = ("America/Chicago", "Europe/Dublin", "Australia/Lord_Howe")
MINUTE = timedelta(minutes=1)


@pytest.mark.parametrize(
    ("began", "ended", "said"),
    [
        ((11, 19, 14, 8), (11, 19, 18, 18), "19 November 2026, 09:08 to 13:18 EST"),
        ((11, 4, 23, 50), (11, 5, 1, 10), "4 November 2026, 18:50 to 20:10 EST"),
        # Midnight of the office, not that of UTC.
        (
            (11, 5, 4, 50),
            (11, 5, 5, 10),
            "4 November 2026, 23:50 EST to 5 November 2026, 00:10 EST",
        ),
        # The night in which the clocks go back (15 U.S.C. 260a): first Sunday of November.
        ((11, 1, 5, 30), (11, 1, 6, 30), "1 November 2026, 01:30 EDT to 01:30 EST"),
        ((7, 3, 13, 5), (7, 3, 13, 5), "3 July 2026, 09:05 to 09:05 EDT"),
    ],
)
def test_a_span_says_once_what_both_moments_have_in_common(began, ended, said):
    zone = ZoneInfo("America/New_York")
    first, last = (datetime(2026, *one, tzinfo=UTC) for one in (began, ended))
    assert moments.written_span(first, last, zone) == said
    assert said.startswith(moments.written_out(first, zone).rsplit(" ", 1)[0])


class Arrival(OfficeForm):
    """A form with a moment, of a record that says when."""

    at = forms.DateTimeField()

    def __init__(self, *args, at=None, **kwargs):
        record = Stored(at) if at else None
        super().__init__(*args, record=record, initial={"at": at}, **kwargs)


class Stored:
    version = 3

    def __init__(self, at):
        self.pk, self.at = "01a22079-1ca9-7012-8cfd-14d92a48ddab", at


def changes_in(zone, year=2026):
    """The moments of a year at which the zone's offset changes, to the minute."""
    found, at = [], datetime(year, 1, 1, tzinfo=UTC)
    offset = at.astimezone(zone).utcoffset()
    while at.year == year:
        at += timedelta(minutes=15)
        if at.astimezone(zone).utcoffset() != offset:
            offset = at.astimezone(zone).utcoffset()
            found.append(at)
    return found


def sent_by(form):
    """What a browser sends of a form that is shown, its rendered choice of readings included."""
    widget = form["at"].subwidgets[0].data
    return {part.name: part.value for part in widget["parts"]} | {"at_offset": widget["chosen"]}


@pytest.mark.parametrize("name", ZONES)
def test_every_minute_around_a_change_goes_through_the_form_and_back(name):
    zone = ZoneInfo(name)
    changes = changes_in(zone)
    assert len(changes) == 2
    with timezone.override(zone):
        for change in changes:
            for minutes in range(-130, 131):
                at = change + minutes * MINUTE
                fresh = Arrival()
                fresh.initial["at"] = at
                again = Arrival(sent_by(fresh))
                assert again.is_valid(), (at, again.errors)
                assert again.cleaned_data["at"] == at


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(ZONES), st.integers(0, 525_599), st.integers(0, 59))
def test_any_minute_of_a_year_goes_through_the_form_and_an_unchanged_one_keeps_its_second(
    name, minute, second
):
    zone = ZoneInfo(name)
    at = datetime(2026, 1, 1, tzinfo=UTC) + minute * MINUTE
    with timezone.override(zone):
        found = moments.readings(at.astimezone(zone).replace(tzinfo=None, fold=0))
        assert at in found
        assert len(found) == (2 if moments.is_repeated(at) else 1)
        stored = at + timedelta(seconds=second)
        form = Arrival(sent_by(Arrival(at=stored)), at=stored)
        assert form.is_valid()
        assert form.cleaned_data["at"] == stored


def typed(face, offset="", **kwargs):
    return Arrival({"at": face, "at_offset": offset}, **kwargs)


@pytest.mark.parametrize(
    ("name", "face", "offsets", "words"),
    [
        ("America/Chicago", "2026-11-01T01:30", ("-05:00", "-06:00"),
         ("CDT (UTC−05:00)", "CST (UTC−06:00)")),
        ("Europe/Dublin", "2026-10-25T01:30", ("+01:00", "+00:00"),
         ("IST (UTC+01:00)", "GMT (UTC+00:00)")),
        ("Australia/Lord_Howe", "2026-04-05T01:45", ("+11:00", "+10:30"),
         ("UTC+11:00", "UTC+10:30")),
    ],
)  # fmt: skip
def test_an_hour_that_comes_twice_is_asked_for_and_both_readings_can_be_entered(
    name, face, offsets, words
):
    with timezone.override(ZoneInfo(name)):
        asked = typed(face)
        assert not asked.is_valid()
        (said,) = asked.errors["at"]
        assert f"the first time, {words[0]}, or the second time, {words[1]}" in said
        shown = str(asked["at"])
        assert f"first time, {words[0]}" in shown
        assert f"second time, {words[1]}" in shown
        read = []
        for offset in offsets:
            form = typed(face, offset)
            assert form.is_valid()
            read.append(form.cleaned_data["at"])
            assert f'value="{offset}" selected' in str(form["at"])
        naive = datetime.fromisoformat(face)
        assert [one.replace(tzinfo=None) for one in read] == [naive, naive]
        assert read[1] - read[0] == abs(read[0].utcoffset() - read[1].utcoffset())
        assert read[0] < read[1]
        # A choice left over from another time decides nothing.
        assert not typed(face, "+05:45").is_valid()
        plain = typed("2026-07-14T09:20", offsets[1])
        assert plain.is_valid()
        # ... and none is left in the page for a time that is typed next.
        assert sent_by(plain)["at_offset"] == ""


@pytest.mark.parametrize(
    ("name", "face", "by"),
    [
        ("America/Chicago", "2026-03-08T02:30", "an hour"),
        ("Europe/Dublin", "2026-03-29T01:30", "an hour"),
        ("Australia/Lord_Howe", "2026-10-04T02:15", "30 minutes"),
    ],
)
def test_an_hour_that_never_was_is_refused_in_words(name, face, by):
    with timezone.override(ZoneInfo(name)):
        form = typed(face)
        assert not form.is_valid()
        (said,) = form.errors["at"]
        assert f"{face[11:]} did not exist on" in said
        assert said.endswith(f"put forward by {by}.")
        assert readings_of(face) == []


def test_an_unchanged_moment_keeps_its_own_pass_also_where_nothing_says_which():
    zone = ZoneInfo("America/Chicago")
    with timezone.override(zone):
        for fold in (0, 1):
            stored = datetime(2026, 11, 1, 1, 30, 12, fold=fold, tzinfo=zone).astimezone(UTC)
            left = typed("2026-11-01T01:30", at=stored)
            assert left.is_valid()
            assert left.cleaned_data["at"] == stored
            # Another pass or another minute is a change.
            other = moments.offset_text(moments.readings(datetime(2026, 11, 1, 1, 30))[1 - fold])
            changed = typed("2026-11-01T01:30", other, at=stored)
            assert changed.is_valid()
            assert abs(changed.cleaned_data["at"] - stored) > timedelta(minutes=59)
            assert not typed("2026-11-01T01:31", at=stored).is_valid()


def test_what_was_typed_is_compared_by_the_moment_and_not_by_the_face_of_the_clock():
    with timezone.override(ZoneInfo("America/Chicago")):
        before = typed("2026-11-01T01:50", "-05:00")
        after = typed("2026-11-01T01:10", "-06:00")
        assert before.is_valid()
        assert after.is_valid()
        gap = after.cleaned_data["at"] - before.cleaned_data["at"]
        assert gap == timedelta(minutes=20)
        assert before.cleaned_data["at"] < after.cleaned_data["at"]


def test_pages_name_the_zone_where_a_time_alone_would_be_two():
    with timezone.override(ZoneInfo("America/Chicago")):
        first, second = (
            datetime(2026, 11, 1, 1, 30, fold=fold, tzinfo=ZoneInfo("America/Chicago"))
            for fold in (0, 1)
        )
        assert (short_moment(first), short_moment(second)) == (
            "1 Nov, 01:30 CDT", "1 Nov, 01:30 CST",
        )  # fmt: skip
        assert (clock(first), clock(second)) == ("01:30 CDT", "01:30 CST")
        assert moment(second) == "1 Nov 2026, 01:30 CST"
        plain = datetime(2026, 11, 1, 9, 5, tzinfo=ZoneInfo("America/Chicago"))
        assert (short_moment(plain), clock(plain), clock(None)) == ("1 Nov, 09:05", "09:05", "")


class Sent(serializers.ModelSerializer):
    more = ApiMomentField(required=False)

    class Meta:
        model = Case
        fields = ["reported_at", "more"]


def sent(**body):
    read = Sent(data=body)
    read.is_valid(raise_exception=True)
    return read.validated_data


def test_the_api_takes_offsets_and_refuses_a_time_that_is_none_or_two():
    with timezone.override(ZoneInfo("America/Chicago")):
        read = sent(reported_at="2026-11-01T01:50:00-05:00", more="2026-11-01T01:10:00-06:00")
        assert read["more"] - read["reported_at"] == timedelta(minutes=20)
        plain = sent(reported_at="2026-07-14T09:20:00")["reported_at"]
        assert plain.isoformat() == "2026-07-14T09:20:00-05:00"
        for face, said in (
            ("2026-11-01T01:30:00", "came twice"),
            ("2026-03-08T02:30:00", "did not exist"),
        ):
            with pytest.raises(serializers.ValidationError) as refused:
                sent(reported_at=face)
            (words,) = refused.value.detail["reported_at"]
            assert said in words
            assert words.endswith("Send the offset with it.")
        for junk in ("0001-01-01T00:00:00+14:00", "yesterday"):
            with pytest.raises(serializers.ValidationError):
                sent(reported_at=junk)


@pytest.mark.django_db
def test_a_moment_is_printed_with_its_offset():
    case = make_case()
    case.reported_at = datetime(2026, 11, 1, 7, 30, tzinfo=UTC)
    with timezone.override(ZoneInfo("America/Chicago")):
        assert Sent(case).data["reported_at"] == "2026-11-01T01:30:00-06:00"


def test_junk_is_no_moment_and_nothing_typed_is_nothing():
    with timezone.override(ZoneInfo("America/Chicago")):
        for junk in ("99999-01-01T00:00", "2026-13-01T00:00", "yesterday", "2026-02-30T10:00"):
            assert not typed(junk).is_valid(), junk
            assert readings_of(junk) == []
        assert typed("").errors["at"] == ["This field is required."]
        assert typed("2026-11-01T01:30-06:00").is_valid()
        assert Typed("x").offset == ""
