"""Fields of a form are had by their kind, and its reason does not stand in a field's way."""

from __future__ import annotations

import pytest
from django import forms

from me_office.accounts.models import Staff
from me_office.shell.forms import OfficeForm, choice_field, choices_of, record_field


class Asked(OfficeForm):
    way = forms.ChoiceField(choices=[("", "Choose"), ("in", "In"), ("out", "Out")])
    who = forms.ModelChoiceField(queryset=Staff.objects.none(), required=False)
    reason = forms.CharField()


class Late(OfficeForm):
    way = forms.ChoiceField(choices=lambda: [("in", "In")])


@pytest.fixture
def form() -> Asked:
    return Asked({"way": "in", "reason": "read again"})


def test_a_field_of_choices_is_the_forms_own(form: Asked):
    assert choice_field(form, "way") is form.fields["way"]
    assert choice_field(form, "who") is record_field(form, "who") is form.fields["who"]


@pytest.mark.parametrize(
    ("ask", "name"),
    [
        (choice_field, "reason"),
        (choices_of, "reason"),
        (record_field, "reason"),
        (record_field, "way"),
    ],
)
def test_a_field_of_another_kind_is_refused(form: Asked, ask, name: str):
    with pytest.raises(TypeError, match=name):
        ask(form, name)


def test_choices_are_told_in_their_order_with_their_words(form: Asked):
    assert choices_of(form, "way") == [("", "Choose"), ("in", "In"), ("out", "Out")]
    assert choices_of(Late(), "way") == [("in", "In")]


def test_the_reason_is_what_was_typed_and_empty_where_none_is_asked(form: Asked):
    assert form.is_valid()
    assert form.given_reason == "read again"
    bare = Late({"way": "in"})
    assert bare.is_valid()
    assert bare.given_reason == ""
