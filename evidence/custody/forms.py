"""Forms of seals and transfers."""

from __future__ import annotations

from typing import Any

from django import forms

from evidence.custody.models import Seal, Transfer
from evidence.custody.opening_fields import NOBODY, choose_staff, require_where, where_field
from evidence.custody.queries import ItemCustody
from me_office.audit.errors import StaleRecord
from me_office.shell.forms import (
    Difference,
    OfficeForm,
    OfficeFormMixin,
    RecordForm,
    ask_one_of,
    choose_from,
)


class _OnItem(OfficeFormMixin):
    """A form whose hidden version is the item's: somebody else's transfer makes it stale."""

    custody: ItemCustody

    def add_action_error(self, error: Exception) -> None:
        """Put the refusal beside its field; when the item moved in between, show where it is."""
        super().add_action_error(error)
        if isinstance(error, StaleRecord):
            self.show_latest_transfer(error.record)

    def show_latest_transfer(self, item: Any) -> None:
        """Show the latest transfer beside what was typed."""
        from evidence.custody.queries import custody_of

        now = custody_of(item)
        typed = " ".join(str(value) for value in (self._typed("to_staff"), self._typed("to_party")))
        seal = now.closing_seal
        self.stale = [
            Difference("to_party", "Held by", typed.strip(), now.chain.holder),
            Difference(
                "number", "Seal", str(self._typed("number")), seal.number if seal else "none"
            ),
        ]

    def _typed(self, name: str) -> Any:
        return self.cleaned_data.get(name) or ""


class TransferForm(_OnItem, RecordForm, of=Transfer):
    """An item passes on."""

    labels = {
        "from_party": "Handed over by",
        "to_staff": "Received by a member of staff",
        "to_party": "Received by another party or place of storage",
        "at": "Handed over at",
        "seal_state": "Seal at handover",
    }
    asks = [
        "from_party", "to_staff", "to_party", "to_where", "at", "place", "purpose",
        "seal_state", "note",
    ]  # fmt: skip
    widgets = {"seal_state": forms.RadioSelect}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["to_party"].required = False
        choose_staff(self, "to_staff", nobody=NOBODY)
        ask_one_of(self, "to_staff", "to_party")
        choose_from(self, "seal_state", list(Transfer.SEALS))
        self.fields["to_where"] = where_field()

    def clean(self) -> dict[str, Any]:
        """Ask for a receiver: a person or a place."""
        cleaned: dict[str, object] = super().clean() or self.cleaned_data
        if cleaned.get("to_staff") and not cleaned.get("to_party"):
            cleaned["to_party"] = str(cleaned["to_staff"])
        if not cleaned.get("to_party"):
            self.add_error("to_party", "Say who or what received it.")
        require_where(self, purpose=str(cleaned.get("purpose") or ""))
        return cleaned


class SealForm(_OnItem, RecordForm, of=Seal):
    """An item is closed under a numbered seal."""

    labels = {"number": "Seal number", "number_repeats": "Why another item has the same number"}
    asks = ["number", "number_repeats", "applied_at", "applied_by"]


class BreakSealForm(OfficeForm):
    """A seal is broken: who, when, why."""

    broken_at = forms.DateTimeField(label="Broken at")
    broken_by = forms.CharField(label="Broken by", max_length=120)
    broken_why = forms.CharField(
        label="Why", max_length=240, help_text="Opened for sampling in the laboratory."
    )
