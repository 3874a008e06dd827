"""Forms of the rules of review, of who reviews, of the reviewer's own opinion and of the sheet."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from django import forms

from cases.certification.rules import MANNERS
from cases.review.models import IndependentOpinion, ReviewPolicy
from cases.review.needs import Reviewer
from cases.review.needs_rules import ANSWERS, Settled, opinion_wants
from me_office.shell.forms import OfficeForm, RecordForm, choice_field, long_text

NOBODY = ("", "Nobody in particular")


class ReviewerField(forms.TypedChoiceField):
    """Who is asked to review, by the key of the account; nothing for nobody in particular."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(coerce=UUID, empty_value=None, required=False, **kwargs)


def offer_reviewers(form: forms.BaseForm, reviewers: Sequence[Reviewer]) -> None:
    """Let a form name one of those who could review; say who could not, and why."""
    able = [one for one in reviewers if not one.wrote]
    field = choice_field(form, "reviewer")
    field.choices = [NOBODY, *((str(one.person.pk), f"{one.person}: {one.words}") for one in able)]
    part = [f"{one.person} ({', '.join(one.wrote)})" for one in reviewers if one.wrote]
    if part:
        field.help_text = f"Not offered, as they wrote of the report: {'; '.join(part)}."


class GiveForm(OfficeForm):
    """Gives the review of a draft to somebody."""

    draft_id = forms.UUIDField(widget=forms.HiddenInput)
    reviewer = ReviewerField(label="Reviewer")

    def __init__(self, *args: Any, reviewers: Sequence[Reviewer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_reviewers(self, reviewers)

    @property
    def beside(self) -> dict[str, Any]:
        """Whom, or nobody."""
        return {"reviewer": self.cleaned_data["reviewer"]}


class OpinionForm(RecordForm, of=IndependentOpinion):
    """Cause and manner in the reviewer's own words, or that the author's are known."""

    rows = {"cause": 3, "words": 4, "knows_why": 2}
    buttons = ("kind",)
    needed = {
        **dict.fromkeys(("cause", "manner"), "required for your own opinion"),
        "knows_why": "required if you know the author’s opinion",
    }
    labels = {
        "kind": "What you record",
        "words": "Basis of your opinion",
        "knows_why": "How you know the author’s opinion",
    }
    draft_id = forms.UUIDField(widget=forms.HiddenInput)
    help_texts = {
        "cause": "From the most immediate back to the underlying cause.",
        "knows_why": "For example: you discussed the case with the author, or supervise it.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kind"].initial = "own"

    def clean(self) -> dict[str, Any] | None:
        """Say beside each field what the kind of opinion needs."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        for name, words in opinion_wants(cleaned).items():
            self.add_error(name, words)
        return cleaned

    @property
    def said(self) -> dict[str, Any]:
        """What the action takes as `entry`."""
        return {name: value for name, value in self.entry.items() if name != "draft_id"}

    @property
    def beside(self) -> dict[str, Any]:
        """Of which draft."""
        return {"draft_id": self.cleaned_data["draft_id"]}


class AgreeForm(OfficeForm):
    """Whether the author's cause is the reviewer's own."""

    cause_agrees = forms.ChoiceField(
        label="Is the cause the same?",
        choices=[("yes", "the same, in whatever words"), ("no", "a different cause")],
        widget=forms.RadioSelect,
    )

    @property
    def beside(self) -> dict[str, Any]:
        """Yes or no."""
        return {"cause_agrees": self.cleaned_data["cause_agrees"] == "yes"}


class SettleForm(OfficeForm):
    """How a disagreement was settled."""

    rows = {"words": 3}
    how = forms.ChoiceField(
        label="How it was settled",
        choices=Settled.choices(),
        widget=forms.RadioSelect,
    )
    words = long_text(
        "What was discussed, and with whom",
        "Kept in the record of the review; not printed in the report.",
    )


def ask_questions(
    form: forms.BaseForm, questions: Sequence[str], kept: Sequence[Mapping[str, str]] = ()
) -> None:
    """Add the two fields of each question of a review sheet."""
    said = {one["question"]: one for one in kept}
    for n, question in enumerate(questions, start=1):
        one = said.get(question, {})
        form.fields[f"answer_{n}"] = forms.ChoiceField(
            label=question,
            choices=list(ANSWERS.items()),
            required=False,
            widget=forms.RadioSelect,
            initial=one.get("answer", ""),
        )
        form.fields[f"words_{n}"] = forms.CharField(
            label=f"Remark on question {n}",
            required=False,
            widget=forms.Textarea(attrs={"rows": 1}),
            initial=one.get("words", ""),
        )


def fields_of(form: forms.BaseForm, questions: Sequence[str]) -> list[tuple[Any, Any]]:
    """Return each question's two fields."""
    return [(form[f"answer_{n}"], form[f"words_{n}"]) for n in range(1, len(questions) + 1)]


def ask_for_words(form: forms.BaseForm, questions: Sequence[str]) -> None:
    """Ask for words where the answer is no."""
    said = form.cleaned_data
    for n in range(1, len(questions) + 1):
        if said.get(f"answer_{n}") == "no" and not said.get(f"words_{n}", "").strip():
            form.add_error(f"words_{n}", "Say in words what is wrong.")


def answers_of(form: forms.BaseForm, questions: Sequence[str]) -> list[dict[str, str]]:
    """Return the answers as an action takes them."""
    return [
        {
            "question": question,
            "answer": form.cleaned_data.get(f"answer_{n}") or "",
            "words": form.cleaned_data.get(f"words_{n}") or "",
        }
        for n, question in enumerate(questions, start=1)
    ]


class AskingForm(OfficeForm):
    """A form with the office's questions of a review, each with its answer and words."""

    questions: Sequence[str] = ()

    @property
    def asked(self) -> list[tuple[Any, Any]]:
        """Each question's two fields."""
        return fields_of(self, self.questions)

    def clean(self) -> dict[str, Any] | None:
        """Ask for words where an answer is no."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        ask_for_words(self, self.questions)
        return cleaned


class SheetForm(AskingForm):
    """The questions of the office, each with its answer and words."""

    draft_id = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, questions: Sequence[str], kept: Sequence[Mapping[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.questions = questions
        ask_questions(self, questions, kept)

    @property
    def beside(self) -> dict[str, Any]:
        """The answers as the action takes them."""
        answers = answers_of(self, self.questions)
        return {"draft_id": self.cleaned_data["draft_id"], "answers": answers}


class PolicyForm(RecordForm, of=ReviewPolicy):
    """Which cases need an independent opinion, and which a review sheet."""

    rows = {"custody_places": 3, "questions": 10, "reason": 2}
    labels = {
        "opinion_under_age": "Independent opinion below the age of (years)",
        "opinion_custody": "Independent opinion on deaths in custody",
        "sheet_under_age": "Review sheet below the age of (years)",
        "sheet_custody": "Review sheet on deaths in custody",
        "share_percent": "Share of all cases drawn for a review sheet (%)",
        "custody_places": "Other kinds of place that mean custody",
    }
    opinion_manners = forms.MultipleChoiceField(
        label="Independent opinion on these manners",
        choices=MANNERS,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    sheet_manners = forms.MultipleChoiceField(
        label="Review sheet on these manners",
        choices=MANNERS,
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    reason = long_text("Reason", "Kept permanently with the change.")
    field_order = [
        "opinion_manners", "opinion_under_age", "opinion_custody", "sheet_manners",
        "sheet_under_age", "sheet_custody", "share_percent", "custody_places", "questions",
        "reason",
    ]  # fmt: skip
    help_texts = {
        "share_percent": "0 draws none. The lot follows from the case’s key and a kept seed.",
        "custody_places": "One a line, as the first call names them. Custody, jail, prison or "
        "detention, in the kind of place or the ground of jurisdiction, always count.",
        "questions": "One a line. If empty, the standard questions are asked.",
    }


class SeedForm(OfficeForm):
    """Why a new seed is drawn."""

    rows = {"reason": 2}
    reason = long_text("Reason for a new seed")
