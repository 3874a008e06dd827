"""A form of a table asks for what a person enters, and says only what is different."""

from __future__ import annotations

from django import forms

from cases.remains.models import BodyHold
from me_office.shell.forms import RecordForm


class HoldForm(RecordForm, of=BodyHold):
    """A hold as the table has it."""

    buttons = ("kind",)
    labels = {"placed_at": "Since"}
    help_texts = {"why": "In a sentence."}


class WhyForm(HoldForm):
    """The reason alone."""

    asks = ["why"]


def test_it_asks_for_every_column_that_a_person_enters():
    entered = [one.name for one in BodyHold._meta.concrete_fields if one.editable]
    assert [*HoldForm.base_fields] == entered == ["kind", "asked_by", "placed_at", "why"]


def test_a_column_names_its_field_unless_the_form_says_otherwise():
    form = HoldForm()
    assert form.fields["placed_at"].label == "Since"
    assert form.fields["why"].label == "Why"
    assert form.fields["why"].help_text == "In a sentence."


def test_buttons_stand_open_without_an_empty_one():
    field = HoldForm().fields["kind"]
    assert isinstance(field.widget, forms.RadioSelect)
    assert "" not in [value for value, _ in field.choices]


def test_a_form_that_asks_for_less_keeps_what_was_said_of_it():
    assert [*WhyForm.base_fields] == ["why"]
    assert WhyForm.base_fields["why"].help_text == "In a sentence."
