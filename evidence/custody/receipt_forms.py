"""The form by which items are handed to an agency."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any
from uuid import UUID

from evidence.custody.models import AgencyReceipt
from evidence.custody.queries import ItemCustody
from evidence.custody.rules import NOTHING_CHOSEN
from me_office.shell.forms import RecordForm, choice_field
from me_office.shell.many import ChoiceGroup, ManyField, groups_of

_CHOSEN = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}:[0-9]{1,9}")


class ItemsField(ManyField):
    """Items with the version that was read; the action refuses one that moved in between."""

    def valid_value(self, value: object) -> bool:
        """Tell whether a value names an item and a version."""
        return bool(_CHOSEN.fullmatch(str(value)))


class HandToAgencyForm(RecordForm, of=AgencyReceipt):
    """Items go to the police or another agency against a receipt."""

    labels = {"agency_case_number": "Agency case number", "at": "Handed over at"}
    items = ItemsField(
        label="Items",
        error_messages={"required": NOTHING_CHOSEN},
    )
    asks = [
        "agency", "received_by", "identification", "agency_case_number", "at", "place",
        "purpose", "second_person",
    ]  # fmt: skip

    def __init__(self, *args: Any, held: Sequence[ItemCustody], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        read = {f"{one.item.pk}:{one.item.version}": one for one in held}
        choice_field(self, "items").choices = [(value, _words(one)) for value, one in read.items()]
        self.alike = {value: _alike(one) for value, one in read.items()}

    @property
    def groups(self) -> list[ChoiceGroup]:
        """The items, those of one kind together."""
        return groups_of(self["items"], self.alike)

    @property
    def chosen(self) -> list[tuple[UUID, int]]:
        """The items that were chosen, with the versions that were read."""
        parts = (value.split(":") for value in self.cleaned_data["items"])
        return [(UUID(key), int(version)) for key, version in parts]

    @property
    def beside(self) -> dict[str, Any]:
        """The items are not of the receipt's own fields."""
        return {"items": self.chosen}

    @property
    def entry(self) -> dict[str, Any]:
        """What the action takes beside the items."""
        return {name: value for name, value in super().entry.items() if name != "items"}


def _words(one: ItemCustody) -> str:
    seal = one.closing_seal
    sealed = f"seal {seal.number}" if seal else "not sealed"
    kind = one.item.get_kind_display()
    return f"Item {one.item.number}, {one.item.title} ({kind}, {sealed})"


def _alike(one: ItemCustody) -> str:
    """The title under which items that go together stand: cassettes for histology; clothing."""
    item = one.item
    if item.kind == "specimen":
        purpose = f", for {item.specimen.purpose}" if item.specimen.purpose else ""
        return f"{item.specimen.material}, in {item.specimen.container}{purpose}"
    if item.kind == "kit":
        return str(item.kit.get_kind_display()).capitalize()
    return f"{item.property.get_category_display()}, {item.get_kind_display()}".capitalize()
