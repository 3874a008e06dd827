"""Form of a review that a pathologist of another office made."""

from __future__ import annotations

from typing import Any

from django import forms

from cases.certification.rules import MANNERS
from cases.review.models import DraftReview
from cases.review.outside import NAMES, STATED
from cases.review.peer_forms import AskingForm, answers_of, ask_questions
from me_office.accounts.forms import OwnPasswordForm
from me_office.shell.forms import long_text, say_needed

AS_THE_DOCUMENT = "Answer this as the reviewer’s document does."


class OutsideReviewForm(AskingForm, OwnPasswordForm):
    """Names the reviewer, takes their document in, and repeats what it states."""

    place = "signing a report"
    rows = {"words": 2, "cause": 3, "knows_why": 2, "settled_words": 2}
    draft_id = forms.UUIDField(widget=forms.HiddenInput)
    sha256 = forms.CharField(widget=forms.HiddenInput)
    outside_name = forms.CharField(max_length=160, label="Reviewer, with credentials")
    outside_license = forms.CharField(max_length=80, label="License, with its state")
    outside_office = forms.CharField(max_length=160, label="Office of the reviewer")
    outside_on = forms.DateField(label="Reviewed on")
    outside_document = forms.CharField(
        max_length=240,
        label="Document of the review",
        help_text="The signed letter or form, its date, and where it is filed.",
    )
    upload = forms.FileField(
        label="The document as a file",
        widget=forms.FileInput(attrs={"accept": ".pdf,.jpg,.jpeg,.png"}),
        help_text="As the reviewer sent it: PDF, JPEG or PNG, at most 20 MB. Kept unchanged; its "
        "SHA-256 is printed with the report.",
    )
    kind = forms.ChoiceField(
        label="How the opinion was formed",
        choices=[
            ("own", "before the author’s was known"),
            ("knows", "the reviewer knew the author’s opinion"),
        ],
        required=False,
        widget=forms.RadioSelect,
    )
    cause = long_text("Cause of death", required=False)
    manner = forms.ChoiceField(
        label="Manner of death", choices=[("", "---------"), *MANNERS], required=False
    )
    cause_agrees = forms.ChoiceField(
        label="Is the cause the same as the author’s?",
        choices=[("yes", "the same, in whatever words"), ("no", "a different cause")],
        required=False,
        widget=forms.RadioSelect,
    )
    knows_why = long_text("How the author’s opinion was known", required=False)
    settled_words = long_text(
        "How a disagreement was settled",
        "Kept in the record of the review; not printed in the report.",
        required=False,
    )
    words = long_text("Remark for the file", "Printed with the report.", required=False)
    field_order = ["draft_id", "sha256", *NAMES, "upload", *STATED, "words", "own_password"]

    def __init__(self, *args: Any, asked: DraftReview | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.questions = asked.questions if asked and asked.asks_sheet else []
        ask_questions(self, self.questions)
        for n in range(1, len(self.questions) + 1):
            self.fields[f"answer_{n}"].required = True
            self.fields[f"answer_{n}"].error_messages["required"] = AS_THE_DOCUMENT
        if asked and asked.asks_opinion:
            self.fields["kind"].required = True
            own = "required for an opinion formed before"
            say_needed(self, own, "cause", "manner", "cause_agrees")
            say_needed(self, "required if the author’s opinion was known", "knows_why")
            say_needed(self, "required where cause or manner differ", "settled_words")
        else:
            for name in STATED:
                del self.fields[name]

    @property
    def named(self) -> list[Any]:
        """The fields that name reviewer and document."""
        return [self[name] for name in (*NAMES, "upload")]

    @property
    def stated(self) -> list[Any]:
        """The fields of the reviewer's opinion; none where the rules ask for no opinion."""
        return [self[name] for name in STATED if name in self.fields]

    @property
    def said(self) -> dict[str, Any]:
        """What the reviewer is, sent and states."""
        names = [name for name in (*NAMES, *STATED, "words") if name in self.fields]
        said = {name: self.cleaned_data.get(name) for name in names}
        if "cause_agrees" in said:
            said["cause_agrees"] = {"yes": True, "no": False}.get(said["cause_agrees"] or "")
        return {**said, "answers": answers_of(self, self.questions)}

    @property
    def beside(self) -> dict[str, Any]:
        """Which draft was reviewed, how it read, and the file."""
        return {name: self.cleaned_data[name] for name in ("draft_id", "sha256", "upload")}
