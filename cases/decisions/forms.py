"""Forms of decisions on what may go out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from cases.access import TABLE, Act, people_who_may_see
from cases.court.models import RecordsRequest
from cases.decisions.actions import GROUND_FIELDS, STOP_FIELDS, Picked
from cases.decisions.enclosed_rules import MOST_BYTES
from cases.decisions.models import (
    OUTCOMES,
    Approval,
    Enclosure,
    Ground,
    LookAsked,
    ProposalRule,
    Reach,
    Stop,
    StopSettled,
)
from cases.decisions.rules import ON_A_GROUND, Outcome
from cases.decisions.shown import read_token
from cases.models import Case
from me_office.audit.models import rows_of
from me_office.shell.forms import OfficeForm, RecordForm, choose_from, long_text, record_field

CHOICES = [(value, words) for value, words in OUTCOMES if value != Outcome.SENT]


class DecideForm(OfficeForm):
    """What becomes of one or several items."""

    rows = {"reason": 2}
    buttons = ("outcome",)
    needed = {
        "ground": "for what is redacted or withheld",
        "held_by": "for what is not ours",
        "reason": "where a decision is replaced",
    }
    items = forms.CharField(widget=forms.HiddenInput, max_length=900_000)
    onward = forms.CharField(widget=forms.HiddenInput, required=False, max_length=8)
    outcome = forms.ChoiceField(label="What becomes of it", choices=CHOICES,
                                widget=forms.RadioSelect)  # fmt: skip
    ground = forms.ModelChoiceField(
        rows_of(Ground).active(), label="Ground", required=False, empty_label="Choose"
    )
    held_by = forms.CharField(label="Who has it", max_length=240, required=False)
    note = forms.CharField(
        label="Note", max_length=240, required=False, help_text="Stays in the office."
    )
    whole = forms.BooleanField(
        label="Send it whole, although places in it are marked for redaction", required=False
    )
    reason = long_text("Reason", "Kept with the earlier decision, in your name.", required=False)

    def __init__(self, *args: Any, replaces: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not replaces:
            del self.fields["reason"]

    def clean_items(self) -> list[Picked]:
        """Return the items as the person saw them."""
        found = [read_token(one) for one in self.cleaned_data["items"].splitlines()]
        picked = [one for one in found if one is not None]
        if not picked or len(picked) != len(found):
            raise forms.ValidationError("Reload the page, then decide.")
        return picked

    def clean(self) -> dict[str, Any]:
        """Leave out what the page proposed or hides, and what the outcome has no use for."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        outcome = cleaned.get("outcome")
        if outcome and outcome not in {one.value for one in ON_A_GROUND}:
            cleaned["ground"] = None
        if outcome and outcome != Outcome.NOT_OURS:
            cleaned["held_by"] = ""
        return cleaned

    @property
    def said(self) -> dict[str, Any]:
        """What the action takes."""
        return {name: value for name, value in self.entry.items() if name != "onward"}

    def show_now(self, tokens: str) -> None:
        """Send what stands now the next time: the person was shown it."""
        self.data = self.data.copy()
        self.data["items"] = tokens


class ReachForm(RecordForm, of=Reach):
    """Which records a demand reaches."""

    labels = {
        "kind": "Records",
        "first": "From number",
        "last": "To number",
    }
    needed = {"words": "for something else"}
    of_case = forms.ModelChoiceField(
        rows_of(Case).none(), label="Of the case", required=False, empty_label=None
    )
    help_texts = {
        "first": "Photographs of the log from this number; empty for all.",
        "words": "What this record does not keep: worksheets, slides, blocks.",
    }

    def __init__(self, *args: Any, cases: Sequence[Case] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if len(cases) > 1:
            keys = [one.pk for one in cases]
            record_field(self, "of_case").queryset = rows_of(Case).filter(pk__in=keys)
        else:
            del self.fields["of_case"]

    @property
    def said(self) -> dict[str, Any]:
        """What the action takes: the case by its key."""
        said = self.entry
        chosen = said.pop("of_case", None)
        return {**said, "of_case": chosen.pk if chosen else None}


class EncloseForm(OfficeForm):
    """A file for something that was named by hand."""

    rows = {"reason": 2}
    upload = forms.FileField(
        label="File",
        help_text="A PDF or a picture becomes numbered pages; a recording, or any other file, goes "
        f"into the packet as a file. At most {MOST_BYTES // 1024**2} MB; hand over separately what "
        "is larger.",
    )
    reason = long_text("Reason for replacing it", "Kept permanently, in your name.")

    def __init__(self, *args: Any, replaces: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not replaces:
            del self.fields["reason"]

    def clean(self) -> dict[str, Any]:
        """Say that a browser does not keep a chosen file where something else is wrong."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if self.errors and "upload" not in self.errors:
            self.add_error("upload", "Choose the file again: it was not saved.")
        return cleaned


class ApartForm(RecordForm, of=Enclosure):
    """To whom something that was named by hand is handed, separate from the packet."""

    rows = {"reason": 2}
    labels = {"apart_on": "Date", "apart_how": "How, and what exactly"}
    reason = long_text("Reason for replacing it", "Kept permanently, in your name.")
    help_texts = {
        "apart_how": "For example: two slides in a mailer, signed for. Printed in the answer."
    }

    def __init__(self, *args: Any, replaces: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["apart_on"].required = True
        self.fields["apart_to"].required = True
        if not replaces:
            del self.fields["reason"]


class StopForm(RecordForm, of=Stop):
    """What keeps answers of a case back."""

    buttons = ("kind",)
    labels = {"kind": "What it is"}
    this_only = forms.BooleanField(label="For this request alone", required=False)
    asks = [*STOP_FIELDS]
    help_texts = {
        "why": "The order, the case in court, who told the office.",
        "until": "The last day, if there is one; else until it is lifted.",
    }

    def __init__(self, *args: Any, asked: RecordsRequest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._asked = asked

    @property
    def said(self) -> dict[str, Any]:
        """What the action takes: the request where it is meant alone."""
        said = self.entry
        alone = said.pop("this_only", False)
        return {**said, "request_id": self._asked.pk if alone else None}


class SettleForm(RecordForm, of=StopSettled):
    """Why a stop does not keep the answer back."""

    help_texts = {"on_word_of": "Counsel, the court with its order, the prosecutor."}


class AskForm(RecordForm, of=LookAsked):
    """A question to a named person."""

    rows = {"words": 3}
    labels = {"asked_of": "Who looks"}
    asks = ["asked_of", "words"]

    def __init__(self, *args: Any, case: Case, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        roles, _ = TABLE[Act.APPROVE_RELEASE]
        people = people_who_may_see(case).filter(groups__name__in=[str(one) for one in roles])
        record_field(self, "asked_of").queryset = people.distinct().order_by("display_name")


class AnswerForm(OfficeForm):
    """The answer to a question."""

    rows = {"answer": 4}
    answer = long_text("Answer", "What you looked at and what you found.", max_length=2000)


class ApproveForm(RecordForm, of=Approval):
    """The second person's approval."""

    digest = forms.CharField(widget=forms.HiddenInput, max_length=64)

    @property
    def said(self) -> dict[str, Any]:
        """What is noted with it."""
        return {"note": self.entry["note"]}

    @property
    def beside(self) -> dict[str, Any]:
        """What was read."""
        return {"digest": self.cleaned_data["digest"]}


class GroundForm(RecordForm, of=Ground):
    """A ground of the office's list."""

    labels = {"number": "Number"}
    help_texts = {
        "words": "As the log of what is kept back says it. It discloses nothing by itself.",
        "citation": "Where it is written, with section.",
    }


class ReplaceGroundForm(GroundForm):
    """Another wording in the place of a ground."""

    rows = {"reason": 2}
    reason = long_text(
        "Reason for the change", "What was decided on it goes on saying it as it was."
    )
    asks = [name for name in GROUND_FIELDS if name != "number"]


class RuleForm(RecordForm, of=ProposalRule):
    """A rule of proposals: whether it is used, and on which ground."""

    labels = {"is_on": "Use this rule", "ground": "Ground it proposes"}

    def __init__(self, *args: Any, on_a_ground: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        record_field(self, "ground").queryset = rows_of(Ground).active()
        if not on_a_ground:
            del self.fields["ground"]


def outcome_only(form: DecideForm, outcome: str) -> None:
    """Begin with an outcome that a row's button named."""
    if outcome in dict(CHOICES):
        form.fields["outcome"].initial = outcome


__all__ = ["CHOICES", "DecideForm", "choose_from"]
