"""Fields, errors and the two texts of a stale form, as the page shows them."""

from __future__ import annotations

import pytest
from django import forms
from django.template import Context, Template
from django.template.loader import render_to_string

from me_office.shell.forms import Difference, OfficeForm, choices_of, long_text
from tests.shell.pages import SceneForm


def field(name: str, form: SceneForm | None = None) -> str:
    return str((form or SceneForm())[name].as_field_group())


def test_the_label_stands_above_and_the_help_is_tied_to_the_input() -> None:
    shown = field("position")
    assert shown.index("<label") < shown.index("<input") < shown.index("As seen, not as told.")
    assert 'aria-describedby="id_position_helptext"' in shown
    assert 'id="id_position_helptext"' in shown


def test_a_field_that_has_to_be_filled_says_so_beside_its_label() -> None:
    assert ">required<" in field("position")
    assert ">required<" not in field("temperature")


def test_the_unit_stands_inside_the_field() -> None:
    assert '<span class="unit">°C</span>' in field("temperature")


def test_radio_buttons_are_a_group_with_a_legend() -> None:
    shown = field("pressed")
    assert "<fieldset" in shown
    assert "<legend>When you pressed" in shown
    assert shown.count('type="radio"') == 3


def test_an_error_is_tied_to_its_input() -> None:
    shown = field("position", SceneForm({"pressed": "fixed"}))
    assert 'aria-invalid="true"' in shown
    assert 'aria-describedby="id_position_helptext id_position_error"' in shown
    assert 'id="id_position_error"' in shown


def test_an_error_of_a_group_is_tied_to_the_group() -> None:
    shown = field("pressed", SceneForm({"position": "face down"}))
    group = shown[shown.index("<fieldset") : shown.index(">")]
    assert 'aria-describedby="id_pressed_error"' in group
    assert 'id="id_pressed_error"' in shown


def test_the_list_of_errors_leads_to_the_fields() -> None:
    form = SceneForm({})
    shown = render_to_string("shell/parts/_form_errors.html", {"form": form})
    assert "Three things to change before this can be saved" in shown
    assert '<a href="#id_position_field">Position as found</a>' in shown
    assert 'role="alert"' in shown


def test_a_form_without_errors_shows_no_list() -> None:
    assert render_to_string("shell/parts/_form_errors.html", {"form": SceneForm()}).strip() == ""


def test_a_stale_form_shows_what_was_written_and_what_stands() -> None:
    form = SceneForm({"position": "face down", "pressed": "fixed", "alive_certainty": "exact"})
    form.is_valid()
    form.stale = [Difference("position", "Position as found", "face down", "face up")]
    form.add_error(None, "Someone else saved this while you were writing.")
    shown = render_to_string("shell/parts/_form_errors.html", {"form": form})
    row = shown[shown.index("<tbody>") :]
    assert row.index("face down") < row.index("face up")
    assert "Saving again replaces the saved version" in shown


def test_the_foot_carries_the_hidden_fields_and_the_fields_do_not() -> None:
    form = SceneForm()
    foot = render_to_string(
        "shell/parts/_form_foot.html", {"form": form, "save_label": "Record", "cancel_url": "/"}
    )
    for name in ("record_id", "version", "request_key"):
        assert f'name="{name}"' in foot
        assert f'name="{name}"' not in str(form)
    assert ">Record</button>" in foot


@pytest.mark.parametrize("name", ["alive_certainty", "alive_at", "alive_until"])
def test_an_uncertain_time_shows_all_its_inputs_without_scripts(name: str) -> None:
    form = SceneForm()
    shown = render_to_string(
        "shell/form/uncertain_time.html",
        {
            "certainty": form["alive_certainty"],
            "at": form["alive_at"],
            "until": form["alive_until"],
            "legend": "Last known alive",
        },
    )
    assert f'name="{name}"' in shown
    assert "hidden>" not in shown


def test_what_is_typed_is_escaped_in_the_two_texts() -> None:
    form = SceneForm({})
    form.is_valid()
    form.stale = [Difference("position", "Position", "<script>1</script>", "<b>")]
    shown = render_to_string("shell/parts/_form_errors.html", {"form": form})
    assert "<script>" not in shown
    assert "&lt;script&gt;" in shown


def test_a_template_names_the_fields_of_a_form_in_their_order() -> None:
    """One that the form has not just now is left out, and all where there is no form."""
    form = SceneForm()
    shown = Template('{% fields form "temperature gone position" %}').render(
        Context({"form": form})
    )
    assert shown == f"{field('temperature', form)}\n{field('position', form)}"
    assert Template('{% fields form "position" %}').render(Context()) == ""


def test_a_form_says_which_fields_are_buttons_and_when_one_is_needed() -> None:
    class Answered(OfficeForm):
        buttons = ("answer",)
        needed = {"why": "required for a no"}
        answer = forms.ChoiceField(choices=[("", "---"), ("yes", "yes"), ("no", "no")])
        why = long_text("Why", "In a few words.", required=False)

    form = Answered()
    assert choices_of(form, "answer") == [("yes", "yes"), ("no", "no")]
    shown = str(form["why"].as_field_group())
    assert "required for a no" in shown and "<textarea" in shown and "In a few words." in shown
