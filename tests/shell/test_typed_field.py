"""A form's days, times and moments: two texts as one moment, read back or refused."""

from __future__ import annotations

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from django import forms
from django.utils import timezone

from me_office.shell.forms import OfficeForm
from me_office.shell.moment_field import ExactMomentInput

ZONE = ZoneInfo("America/Chicago")


class Seen(OfficeForm):
    """A day, a time and a moment of which none is needed, and a moment that is."""

    born_on = forms.DateField(required=False)
    died_time = forms.TimeField(required=False, label="Time of death")
    read_at = forms.DateTimeField(label="Read at")
    left_at = forms.DateTimeField(required=False)
    exact_at = forms.DateTimeField(required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["exact_at"].widget = ExactMomentInput()


@pytest.fixture(autouse=True)
def _in_the_office_s_zone():
    with timezone.override(ZONE):
        yield


def sent(**values: str) -> Seen:
    return Seen({"read_at": "11/29/2026", "read_at_time": "14:05", **values})


def test_a_form_reads_what_was_typed_in_either_of_the_ways():
    form = sent(born_on="7 Sept 1931", died_time="2:05 p.m.", left_at="2026-11-29T15:30")
    assert form.is_valid(), form.errors
    assert form.cleaned_data["born_on"] == date(1931, 9, 7)
    assert form.cleaned_data["died_time"] == time(14, 5)
    assert form.cleaned_data["read_at"] == datetime(2026, 11, 29, 20, 5, tzinfo=UTC)
    assert form.cleaned_data["left_at"] == datetime(2026, 11, 29, 21, 30, tzinfo=UTC)
    assert form.cleaned_data["exact_at"] is None


@pytest.mark.parametrize(
    ("values", "name", "words"),
    [
        ({"left_at": "11/29/2026"}, "left_at", "Add the time."),
        ({"left_at_time": "14:05"}, "left_at", "Add the date."),
        ({"left_at": "2026-11-29"}, "left_at", "Add the time."),
        ({"left_at": "29/11/2026", "left_at_time": "14:05"}, "left_at",
         "Month first: 11/29/2026."),
        ({"born_on": "03/04/05"}, "born_on", "Write all four digits of the year."),
        ({"died_time": "2:05"}, "died_time", "Write 02:05 or 14:05, or add AM or PM."),
        ({"read_at": "", "read_at_time": " "}, "read_at", "This field is required."),
    ],
)  # fmt: skip
def test_half_a_moment_and_what_can_t_be_read_is_refused_beside_the_field(values, name, words):
    form = sent(**values)
    assert form.errors == {name: [words]}
    for one in [name, f"{name}_time"]:
        typed = values.get(one, "").strip()
        assert not typed or f'value="{typed}"' in str(form[name]), "what was typed stays"
    inputs = 1 if name in {"born_on", "died_time"} else 2
    assert str(form[name]).count('aria-invalid="true"') == inputs


def test_a_field_shows_how_it_is_typed_or_what_was_read_with_the_office_s_zone():
    fresh = str(Seen()["read_at"])
    assert ">MM/DD/YYYY HH:MM, Chicago time</span>" in fresh
    assert ">MM/DD/YYYY HH:MM:SS, Chicago time</span>" in str(Seen()["exact_at"])
    assert ">HH:MM, Chicago time</span>" in str(Seen()["died_time"])
    assert ">MM/DD/YYYY</span>" in str(Seen()["born_on"])
    typed = sent(born_on="03/04/2026", died_time="0205")
    assert ">Sunday, November 29, 2026, 14:05 CST</span>" in str(typed["read_at"])
    assert ">Wednesday, March 4, 2026</span>" in str(typed["born_on"])
    assert ">02:05, Chicago time</span>" in str(typed["died_time"])
    twice = sent(read_at="11/01/2026", read_at_time="01:30")
    assert ">Sunday, November 1, 2026, 01:30</span>" in str(twice["read_at"])
    chosen = sent(read_at="11/01/2026", read_at_time="01:30", read_at_offset="-05:00")
    assert ">Sunday, November 1, 2026, 01:30 CDT</span>" in str(chosen["read_at"])


def test_each_input_has_a_name_of_its_own_and_is_tied_to_what_is_said_below():
    shown = str(Seen()["read_at"])
    assert 'id="id_read_at"' in shown
    assert 'id="id_read_at_time"' in shown
    assert shown.count('aria-label="Read at, time"') == 1
    assert shown.count('aria-describedby="id_read_at_said"') == 2
    assert 'id="id_read_at_said"' in shown
    assert 'aria-describedby="id_died_time_said"' in str(Seen()["died_time"])
    assert "date" not in shown.partition('type="')[2].partition('"')[0]


@pytest.mark.parametrize("as_text", [False, True])
def test_a_value_that_stands_is_shown_as_it_is_typed(as_text: bool):
    at = datetime(2026, 11, 1, 7, 30, 12, tzinfo=UTC)
    value = at.isoformat() if as_text else at
    form = Seen(initial={"read_at": value, "exact_at": value, "born_on": date(2026, 3, 4),
                         "died_time": time(2, 5)})  # fmt: skip
    for name, texts in {
        "read_at": ["11/01/2026", "01:30"],
        "exact_at": ["11/01/2026", "01:30:12"],
        "born_on": ["03/04/2026"],
        "died_time": ["02:05"],
    }.items():
        parts = form[name].subwidgets[0].data["parts"]
        assert [part.value for part in parts] == texts, name
    assert (
        Seen(initial={"died_time": time(2, 5, 9)})["died_time"].subwidgets[0].data["parts"][0].value
        == "02:05:09"
    )


@pytest.mark.parametrize(
    ("whole", "is_read"),
    [
        ("1000-01-02T00:00Z", True),
        ("2999-12-31T23:59-12:00", True),
        ("0999-12-31T23:59Z", False),
        ("3000-01-01T00:00Z", False),
        # Out of the calendar on the office's clock.
        ("0001-01-01T00:00Z", False),
        ("9999-12-31T23:59-12:00", False),
        ("\u0662\u0660\u0662\u0666-11-29T14:05Z", False),
    ],
)
def test_a_moment_in_one_text_has_the_years_and_digits_of_a_typed_one(whole: str, is_read: bool):
    form = sent(left_at=whole)
    assert form.is_valid() is is_read
    assert 'name="left_at"' in str(form["left_at"])
    assert form.errors == ({} if is_read else {"left_at": ["Write the date as 11/29/2026."]})


def test_one_of_the_two_inputs_takes_the_focus_when_the_page_opens():
    form = Seen()
    form.fields["read_at"].widget.attrs["autofocus"] = True
    shown = str(form["read_at"])
    assert shown.count("autofocus") == 1
    assert "autofocus" in shown[: shown.index('name="read_at_time"')]
