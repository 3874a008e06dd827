"""Forms of redacting documents: adding one, marking, asking for a copy, the office's reasons."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID, uuid5

from django import forms

from cases.court.models import RecordsRequest
from cases.forms.changed import ChangedForm
from cases.redaction.models import RedactionReason
from cases.redaction.pdf import limits
from me_office.shell.forms import OfficeForm, choose_from, long_text
from me_office.shell.json_text import read_json


class DocumentForm(OfficeForm):
    """A PDF that is to go out redacted."""

    name = forms.CharField(
        label="What it is", max_length=240,
        help_text="As the list and the history name it: hospital record of 3 May, 40 pages.",
    )  # fmt: skip
    upload = forms.FileField(
        label="PDF",
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ".pdf,application/pdf"}),
        help_text=f"Kept unchanged under its SHA-256 digest. At most "
        f"{limits.MOST_BYTES // 1024**2} MB and {limits.MOST_PAGES} pages, without a password.",
    )
    for_request = forms.TypedChoiceField(
        label="For which request", required=False, coerce=UUID, empty_value=None,
        help_text="With none, its redaction holds for every request.",
    )  # fmt: skip

    def __init__(self, *args: Any, requests: Sequence[RecordsRequest] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose_from(self, "for_request", request_choices(requests))


class OpenForm(OfficeForm):
    """A document of the case that is to be redacted."""

    kind = forms.CharField(max_length=24, widget=forms.HiddenInput)
    key = forms.UUIDField(widget=forms.HiddenInput)
    for_request = forms.TypedChoiceField(label="For", required=False, coerce=UUID, empty_value=None)

    def __init__(self, *args: Any, requests: Sequence[RecordsRequest] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose_from(self, "for_request", request_choices(requests))


def request_choices(requests: Sequence[RecordsRequest]) -> list[tuple[str, Any]]:
    """Return the requests of a case as choices, every request first."""
    return [("", "every request"), *((str(one.pk), one.told_apart) for one in requests)]


class MarkForm(OfficeForm):
    """Places that were chosen on a page or found, and the reason for hiding them."""

    chosen_in = "marks"
    marks = forms.CharField(
        label="Places", required=False, max_length=400_000,
        widget=forms.HiddenInput(attrs={"data-part": "marks"}),
    )  # fmt: skip
    why = forms.TypedChoiceField(label="Reason", coerce=UUID, empty_value=None)

    def __init__(self, *args: Any, reasons: Sequence[RedactionReason], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choose_from(self, "why", [(str(one.pk), str(one)) for one in reasons])

    def clean_marks(self) -> list[dict[str, Any]]:
        """Return the places as they were chosen."""
        return read_entries(self.cleaned_data["marks"])

    @property
    def beside(self) -> dict[str, Any]:
        """The places, each under a key that follows from the form's: sent again, they are these."""
        rows: list[dict[str, Any]] = self.cleaned_data[self.chosen_in]
        keyed = [{**row, "id": uuid5(self.record_id, str(at))} for at, row in enumerate(rows)]
        return {"entries": keyed}


class FoundForm(MarkForm):
    """Places that a search found, chosen one by one."""

    chosen_in = "places"

    def __init__(self, *args: Any, found: Sequence[dict[str, Any]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["marks"]
        keys = [f"{one['page']}-{one['first']}-{one['last']}" for one in found]
        self.fields["places"] = forms.MultipleChoiceField(
            label="Places", choices=[(one, one) for one in keys], required=False
        )

    def clean_places(self) -> list[dict[str, Any]]:
        """Return the places that were chosen."""
        chosen = [one.split("-") for one in self.cleaned_data["places"]]
        if not chosen:
            raise forms.ValidationError("Choose at least one place.")
        return [
            {"page": int(page), "first": int(first), "last": int(last)}
            for page, first, last in chosen
        ]


_NAMES = {"page": int, "first": int, "last": int, "boxes": list}


def read_entries(text: str) -> list[dict[str, Any]]:
    """Return what a script says of places; raise ValidationError when garbled."""
    try:
        rows = read_json(text or "[]")
    except (ValueError, RecursionError) as error:
        raise forms.ValidationError("What was chosen could not be read.") from error
    if not isinstance(rows, list) or not all(_is_place(one) for one in rows):
        raise forms.ValidationError("What was chosen could not be read.")
    if not rows:
        raise forms.ValidationError("Choose words or draw an area first.")
    return rows


def _is_place(row: Any) -> bool:
    return (
        isinstance(row, dict)
        and "page" in row
        and row.keys() <= _NAMES.keys()
        and all(type(row[name]) is _NAMES[name] for name in row)
        and (("first" in row and "last" in row) or "boxes" in row)
    )


class TakeBackForm(OfficeForm):
    """One mark that is taken back."""

    reason = forms.CharField(max_length=500, required=False, widget=forms.HiddenInput)

    @property
    def given_reason(self) -> str:
        """The reason that was given, or that it was taken back."""
        return super().given_reason or "Taken back while marking"


class CopyForm(OfficeForm):
    """Asks for the copy of what is marked now."""

    choice_sha256 = forms.CharField(max_length=64, widget=forms.HiddenInput)


class FindForm(forms.Form):
    """Words that are looked for in a document; changes nothing."""

    words = forms.CharField(label="Words to find", max_length=200)


class LeaveForm(OfficeForm):
    """Why hidden words may stay where they can still be read."""

    rows = {"reason": 2}
    reason = long_text("Reason", "Kept permanently, in your name.")


class ReasonForm(ChangedForm, of=RedactionReason):
    """A reason of the office's list."""

    help_texts = {
        "number": "Short: it is printed on the bar.",
        "words": "As a list sent with the copy names it: name of a private person.",
        "citation": "Only as counsel gave it. The software supplies none.",
    }


class ReasonWithdrawForm(OfficeForm):
    """Takes a reason off the list."""

    rows = {"reason": 2}
    reason = long_text("Why it is taken off the list")
