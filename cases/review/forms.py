"""Forms of report and review."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms

from cases.review.comment_rules import RETURN_CAUSES, Anchor, Weight
from cases.review.models import Addendum, CaseClosing, Report
from cases.review.needs import Reviewer
from cases.review.peer_forms import ReviewerField, offer_reviewers
from evidence.results.rules import NotAvailable
from me_office.accounts.forms import OwnPasswordForm
from me_office.audit.errors import Invalid, StaleRecord
from me_office.shell.forms import OfficeForm, RecordForm, choice_field, long_text
from me_office.shell.many import ChoiceGroup, ManyField, groups_of

# More than these are not read in one look.
FOLDED_FROM = 4


class ReportForm(RecordForm, of=Report):
    """The report's own words."""

    rows = {"history": 6, "summary": 6, "opinion": 9}
    help_texts = {
        "history": "If empty, the report prints the circumstances of the first call.",
        "summary": "What was found, in brief, most important first.",
        "opinion": "In plain words, with its basis and how certain it is.",
    }


class SubmitForm(OwnPasswordForm):
    """The author signs the report and sends it to review."""

    place = "signing a report"
    rows = {"note": 2}
    field_order = ["acknowledged", "reviewer", "note", "own_password"]
    reviewer = ReviewerField(
        label="Reviewer you ask", help_text="Anybody else may still review it."
    )
    acknowledged = ManyField(
        required=False,
        label="Not available at signing",
        help_text="Check each: you sign without it, and the report prints it.",
    )
    note = long_text(
        "Note to the reviewer",
        "What to look at, or what changed since the last draft.",
        required=False,
    )

    def __init__(
        self, *args: Any, not_available: Sequence[NotAvailable] = (),
        reviewers: Sequence[Reviewer] = (), **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        offer_reviewers(self, reviewers)
        self.not_available = not_available
        choices = [(gap.key, gap.words) for gap in not_available]
        choice_field(self, "acknowledged").choices = choices
        if not choices:
            del self.fields["acknowledged"]

    @property
    def to_acknowledge(self) -> list[tuple[ChoiceGroup, list[tuple[NotAvailable, Any]]]]:
        """What is not available, each with its box; those that are alike together."""
        if not self.not_available:
            return []
        by_key = {gap.key: gap for gap in self.not_available}
        alike = {gap.key: gap.alike for gap in self.not_available}
        return [
            (group, [(by_key[box.data["value"]], box) for box in group.boxes])
            for group in groups_of(self["acknowledged"], alike)
        ]

    @property
    def kinds_to_acknowledge(
        self,
    ) -> list[tuple[str, int, list[tuple[ChoiceGroup, list[tuple[NotAvailable, Any]]]], bool]]:
        """The same by kind: title, count, groups, and whether it stands open.

        Few stand as they are, without a title; many are folded by kind and opened on demand.
        """
        found = self.to_acknowledge
        if len(self.not_available) <= FOLDED_FROM:
            return [("", len(self.not_available), found, True)]
        kinds: dict[bool, list[tuple[ChoiceGroup, list[tuple[NotAvailable, Any]]]]] = {}
        for group, gaps in found:
            of_item = gaps[0][0].words.startswith("Item ")
            kinds.setdefault(of_item, []).append((group, gaps))
        titles = {False: "without a final result", True: "not sent out, or not said where"}
        return [
            (
                titles[of_item],
                sum(len(gaps) for _, gaps in groups),
                groups,
                any(group.some for group, _ in groups),
            )
            for of_item, groups in sorted(kinds.items())
        ]


class CommentForm(OfficeForm):
    """A comment on one passage, or on what `on` names: the whole draft or a record of it."""

    rows = {"comment": 3}
    passage = forms.CharField(widget=forms.HiddenInput, required=False)
    draft_id = forms.UUIDField(widget=forms.HiddenInput)
    on = forms.CharField(label="About", required=False)
    weight = forms.ChoiceField(
        label="Weight",
        choices=Weight.choices(),
        initial=Weight.SUGGESTION.value,
        required=False,
    )
    comment = long_text("Comment on this passage")

    @property
    def beside(self) -> dict[str, Any]:
        """What is said of which part of the draft."""
        anchor, _, key = self.cleaned_data["on"].partition(":")
        said = {name: self.cleaned_data[name] for name in ("draft_id", "comment")}
        weight = self.cleaned_data["weight"] or Weight.SUGGESTION.value
        place = {"passage": key or self.cleaned_data["passage"]}
        return {**said, **place, "anchor": anchor or Anchor.PASSAGE.value, "weight": weight}

    @property
    def said(self) -> dict[str, Any]:
        """Nothing more than stands beside."""
        return {}


class AnswerForm(OfficeForm):
    """The author's answer to a comment."""

    rows = {"answer": 2}
    answer = long_text("Answer")


class ReplyForm(OfficeForm):
    """What author or reviewer says in the thread of a comment."""

    rows = {"words": 2}
    words = long_text("Reply")


class ResolveForm(OfficeForm):
    """Says that a comment is settled, and how where that is worth a word."""

    rows = {"words": 2}
    words = long_text("How it was resolved", required=False)


class ReopenCommentForm(OfficeForm):
    """Why a comment is not settled after all."""

    rows = {"reason": 2}
    reason = long_text("Reason for reopening")


class ReturnForm(OfficeForm):
    """Sends a draft back."""

    rows = {"words": 3}
    draft_id = forms.UUIDField(widget=forms.HiddenInput)
    words = long_text("What needs to change")
    causes = forms.MultipleChoiceField(
        label="Causes of return",
        required=False,
        choices=list(RETURN_CAUSES.items()),
        widget=forms.CheckboxSelectMultiple,
        help_text="For the office’s own count; not printed.",
    )


class SignForm(OwnPasswordForm):
    """Signs a draft off; the reviewer gives the password again."""

    place = "signing a report"
    rows = {"words": 2}
    draft_id = forms.UUIDField(widget=forms.HiddenInput)
    sha256 = forms.CharField(widget=forms.HiddenInput)
    words = long_text("Remark for the file", required=False)
    field_order = ["draft_id", "sha256", "words", "own_password"]


class WithoutReviewForm(OwnPasswordForm):
    """Finishes a report without peer review, by the office's rule."""

    place = "signing a report"
    rows = {"words": 2}
    draft_id = forms.UUIDField(widget=forms.HiddenInput)
    sha256 = forms.CharField(widget=forms.HiddenInput)
    words = long_text("Reason for no review")
    field_order = ["draft_id", "sha256", "words", "own_password"]


def offer_results(form: forms.BaseForm, results: Sequence[tuple[str, str]]) -> None:
    """Let an addendum name one of the case's results, where there are any."""
    if not results:
        del form.fields["rests_on"]
        return
    choice_field(form, "rests_on").choices = [("", "None"), *results]


def chosen_result(form: forms.BaseForm) -> UUID | None:
    """Return the key of the result that was chosen, or None."""
    chosen = form.cleaned_data.get("rests_on")
    return UUID(chosen) if chosen else None


class AmendForm(OwnPasswordForm):
    """Signs an amendment of a datum."""

    place = "signing a report"
    rows = {"why": 3}
    why = long_text("Reason", "Printed with the amendment.")
    rests_on = forms.ChoiceField(label="Result it is based on", required=False)
    field_order = ["rests_on", "why", "own_password"]

    def __init__(
        self, *args: Any, of: Any, results: Sequence[tuple[str, str]] = (), **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        # Both forms are sent as one: the version is that of the record, and only its form says it.
        del self.fields["version"]
        self.of = of
        offer_results(self, results)

    def add_action_error(self, error: Exception) -> None:
        """Put what is said of the record's own fields where they were typed."""
        of_record = isinstance(error, Invalid) and not set(error.errors) & set(self.fields)
        if of_record or isinstance(error, StaleRecord):
            self.of.add_action_error(error)
        else:
            super().add_action_error(error)


class AddendumForm(OwnPasswordForm, RecordForm, of=Addendum):
    """An addendum or amendment, signed with the password as the report was."""

    place = "signing a report"
    rows = {"text": 6, "why": 3}
    buttons = ("kind",)
    needed = {"amends": "required for an amendment"}
    labels = {"amends": "Statement to be changed, as printed", "why": "Reason"}
    asks = ["kind", "amends", "text", "why"]
    help_texts = {
        "kind": "An addendum adds to the signed report; an amendment changes what it says.",
        "amends": "",
        "why": "Printed in the report and kept in the history.",
    }

    rests_on = forms.ChoiceField(label="Result it is based on", required=False)
    field_order = ["kind", "rests_on", "amends", "text", "why", "own_password"]

    def __init__(self, *args: Any, results: Sequence[tuple[str, str]] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_results(self, results)
        self.fields["kind"].initial = "addendum"

    @property
    def said(self) -> dict[str, Any]:
        """What the action takes as `entry`."""
        return {name: value for name, value in self.entry.items() if name != "rests_on"}

    @property
    def beside(self) -> dict[str, Any]:
        """The result that it deals with, by its key."""
        return {"rests_on": chosen_result(self)}

    @property
    def given_reason(self) -> str:
        """Why, as it is printed."""
        return str(self.cleaned_data["why"])


class ClosingForm(RecordForm, of=CaseClosing):
    """Why a case is closed without a report, and who certifies."""

    rows = {"why": 2}
    labels = {"kind": "Ground for closing", "certified_by": "Who certifies the death"}
    help_texts = {"certified_by": "Required unless cause and manner are stated in this case."}

    def __init__(self, *args: Any, case_version: int, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # What was read is the case.
        self.fields["version"].initial = case_version


class ReopenForm(OfficeForm):
    """Why a closed case is opened again."""

    rows = {"reason": 2}
    reason = long_text("Reason for reopening", "Kept permanently, in your name.")
