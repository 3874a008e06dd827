"""A number with its unit chosen beside it: kept in one unit, with what was read."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from me_office.entries import Entry
from me_office.units import Measured, WrongUnit, split, units_for


class MeasureInput(forms.NumberInput):
    """A number and a list of units; the list's name is the field's with `_unit`."""

    template_name = "shell/form/measure.html"

    def __init__(self, units: list[str]) -> None:
        super().__init__({"inputmode": "decimal", "step": "any"})
        self.units = units

    def get_context(
        self, name: str, value: object, attrs: dict[str, object] | None
    ) -> dict[str, object]:
        """Add the units and which of them is chosen."""
        number, unit = value if isinstance(value, tuple) else (value, self.units[0])
        if isinstance(value, Measured) and value.read:
            number, unit = split(value.read)
        elif isinstance(number, Decimal):
            number = f"{number.normalize():f}"
        context = super().get_context(name, number, attrs)
        context["widget"] |= {"units": self.units, "unit": unit, "unit_name": f"{name}_unit"}
        return context

    def value_from_datadict(self, data: Mapping[str, object], files: Any, name: str) -> Any:
        """The number as typed and the unit; without one, the unit that is kept."""
        return data.get(name, ""), data.get(f"{name}_unit") or self.units[0]

    def value_omitted_from_data(self, data: Mapping[str, object], files: Any, name: str) -> bool:
        """Tell whether the number was not sent at all."""
        return name not in data


class MeasureField(forms.DecimalField):
    """Gives a `Measured` in the unit that is kept."""

    def __init__(self, *, kept: str, places: int, **kwargs: Any) -> None:
        self.kept, self.places = kept, places
        super().__init__(widget=MeasureInput(units_for(kept)), **kwargs)

    def clean(self, value: object) -> Measured | None:
        """Check the number, then bring it to the kept unit."""
        number, unit = value if isinstance(value, tuple) else (value, self.kept)
        read = super().clean(number)
        if read is None:
            return None
        try:
            return Measured.of(read, unit, kept=self.kept, places=self.places)
        except WrongUnit as error:
            raise ValidationError(str(error)) from None

    def has_changed(self, initial: object, data: object) -> bool:
        """Tell whether what was typed is another value than the one that stands."""
        try:
            return bool(self.clean(data) != initial)
        except ValidationError:
            return True


def measure_fields(form: forms.BaseForm, kept_units: Mapping[str, tuple[str, int]]) -> None:
    """Let fields of a form be typed in another unit; what was read before is shown as read."""
    for name, (kept, places) in kept_units.items():
        was = form.fields[name]
        form.fields[name] = MeasureField(
            kept=kept, places=places, required=was.required, label=was.label,
            help_text=was.help_text,
        )  # fmt: skip
        instance = getattr(form, "instance", None)
        value, read = form.initial.get(name), getattr(instance, f"{name}_read", "")
        if value is not None and read:
            shown = Measured(value)
            shown.read = read
            form.initial[name] = shown


def as_entered(entry: Entry, kept_units: Mapping[str, tuple[str, int]]) -> dict[str, object]:
    """Return an entry with what was read beside each value."""
    said = dict(entry)
    for name in kept_units:
        if name in said:
            said[f"{name}_read"] = getattr(said[name], "read", "")
    return said
