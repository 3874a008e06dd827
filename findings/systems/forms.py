"""Forms of a part of a system, of a system left out, of slides and of templates."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django import forms
from django.utils import timezone

from findings.forms import ReasonedForm, reason_field, reason_for_adding
from findings.systems import rules
from findings.systems.actions import PART_FIELDS
from findings.systems.blanks import LONGEST_WORDS, Blank, Kind, pieces, weight_of
from findings.systems.catalogue import SYSTEMS
from findings.systems.models import MicroscopicSlide, SystemPart, SystemTemplate
from findings.systems.queries import Template
from findings.systems.rules import Decision
from me_office.audit.ids import new_id
from me_office.shell.forms import OfficeForm, RecordForm

KEEP, STRIKE = "keep", "strike"
_KEPT = {KEEP: True, STRIKE: False, "": None}


class PartForm(RecordForm, of=SystemPart):
    """One part of a system: what is decided, and each sentence that was laid, kept or struck."""

    reason = reason_field()
    labels = {"words": "In your words"}
    rows = {"words": 4}
    widgets = {"decision": forms.RadioSelect}

    def __init__(
        self, *args: Any, ended: bool = False, weighed: Collection[str] = (), **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.weighed = weighed
        negative = self.instance.of.negative
        choices = [("", "Not decided yet"), (Decision.DESCRIBED.value, "Described")]
        if negative:
            choices.append((Decision.NEGATIVE.value, f"Stated: “{negative}”"))
        choices += [
            (Decision.NOT_EXAMINED.value, "Not examined"),
            (Decision.NOT_PRESENT.value, "Not present"),
        ]
        self.fields["decision"] = forms.ChoiceField(
            choices=choices, required=False, label="Decision", widget=forms.RadioSelect
        )
        self.fields["why"].help_text = "Where it was not examined or is not present"
        self.offered = rules.offered_in(self.instance.sentences)
        for place, one in enumerate(self.offered, start=1):
            self._lay(place, one)
        reason_for_adding(self, ended=ended)

    def _lay(self, place: int, one: rules.Offered) -> None:
        name = rules.field_of(place)
        kept = "" if one.kept is None else KEEP if one.kept else STRIKE
        self.fields[name] = forms.ChoiceField(
            choices=[("", "Not decided yet"), (KEEP, "Keep"), (STRIKE, "Strike")],
            required=False,
            initial=kept,
            label=shown_line(one.text),
            widget=forms.RadioSelect,
        )
        for number, blank in enumerate(self._asked(one), start=1):
            self.fields[f"{name}_{number}"] = _field_of(
                blank, one.filled.get(blank.label, ""), place
            )

    def _asked(self, one: rules.Offered) -> list[Blank]:
        """The blanks of a sentence; a weight that stands already is not asked for again."""
        blanks = [piece for piece in pieces(one.text) if isinstance(piece, Blank)]
        return [blank for blank in blanks if blank.organ not in self.weighed or not blank.organ]

    @property
    def laid(self) -> list[tuple[Any, list[Any], str]]:
        """Each sentence's field, those of its blanks, and the organ that is weighed already."""
        found = []
        for place, one in enumerate(self.offered, start=1):
            name = rules.field_of(place)
            fields = [self[f"{name}_{number}"] for number in range(1, len(self._asked(one)) + 1)]
            organ = weight_of(one.text)
            found.append((self[name], fields, organ if organ in self.weighed else ""))
        return found

    @property
    def said(self) -> dict[str, Any]:
        """The entry as the action takes it."""
        cleaned = self.cleaned_data
        said: dict[str, Any] = {name: cleaned[name] for name in PART_FIELDS}
        if self.offered:
            said["sentences"] = [
                {
                    "kept": _KEPT[cleaned[rules.field_of(place)]],
                    "filled": {
                        blank.label: cleaned[f"{rules.field_of(place)}_{number}"]
                        for number, blank in enumerate(self._asked(one), start=1)
                    },
                }
                for place, one in enumerate(self.offered, start=1)
            ]
        return said


def shown_line(line: str) -> str:
    """A sentence as it is read before it is filled in; a weight as what is asked for."""
    if organ := weight_of(line):
        return f"Weight of the {organ}, for the table of organ weights"
    return "".join(
        piece if isinstance(piece, str) else f"… ({piece.label})" for piece in pieces(line)
    )


def _field_of(blank: Blank, value: str, place: int) -> forms.Field:
    label = f"{blank.label[:1].upper()}{blank.label[1:]} (sentence {place})"
    if blank.kind is Kind.CHOICE:
        choices = [("", "Choose"), *((one, one) for one in blank.choices)]
        return forms.ChoiceField(choices=choices, required=False, initial=value, label=label)
    field = forms.CharField(
        required=False, initial=value, label=label, max_length=LONGEST_WORDS, help_text=blank.asks
    )
    if rules.is_number(blank):
        field.widget.attrs.update({"inputmode": "decimal", "data-unit": blank.unit})
    return field


class LeaveOutForm(OfficeForm):
    """Why the rest of a system was not examined."""

    why = forms.CharField(
        max_length=rules.LONGEST_WHY,
        label="Why the rest was not examined",
        help_text="Stated of every part of this system that is not decided.",
    )
    reason = reason_field()

    def __init__(self, *args: Any, ended: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        reason_for_adding(self, ended=ended)


class UseTemplateForm(OfficeForm):
    """Which sentences to lay; nothing is decided by it."""

    template = forms.ChoiceField(label="Sentences to keep or strike")

    def __init__(self, *args: Any, templates: list[Template], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["template"] = forms.ChoiceField(
            label="Sentences to keep or strike",
            choices=[(one.key, one.title[:1].upper() + one.title[1:]) for one in templates],
            error_messages={
                "invalid_choice": "This template was changed or withdrawn. Choose again."
            },
        )


class SlideForm(ReasonedForm, of=MicroscopicSlide):
    """One slide that was read."""

    labels = {"seen": "Seen"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance._state.adding:
            self.fields["read_on"].initial = timezone.localdate()


class SystemTemplateForm(RecordForm, of=SystemTemplate):
    """A template of one system: its name, and one sentence a line for each part."""

    reason = reason_field(required=True)
    labels = {"title": "Name", "stands_for_standard": "Offer it in place of the standard sentences"}
    asks = ["title", "stands_for_standard"]

    def __init__(self, *args: Any, system: str, lines: dict[str, Any], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.system = SYSTEMS[system]
        self.fields["stands_for_standard"].help_text = ""
        for part in self.system.parts:
            self.fields[part.key] = forms.CharField(
                label=part.title,
                required=False,
                initial="\n".join(lines.get(part.key, [])),
                widget=forms.Textarea(attrs={"rows": max(2, len(lines.get(part.key, [])) + 1)}),
            )
        if self.instance._state.adding:
            del self.fields["reason"]
        else:
            # A new edition is a record of its own.
            self.fields["record_id"].initial = new_id()

    @property
    def parts(self) -> list[Any]:
        """The fields of the parts, in their order."""
        return [self[part.key] for part in self.system.parts]

    @property
    def said(self) -> dict[str, Any]:
        """The entry as the action takes it."""
        cleaned = self.cleaned_data
        return {
            "system": self.system.key,
            "title": cleaned["title"],
            "stands_for_standard": cleaned["stands_for_standard"],
            "lines": {part.key: cleaned[part.key].splitlines() for part in self.system.parts},
        }
