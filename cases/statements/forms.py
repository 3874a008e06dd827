"""Forms of statements and of their passages."""

from __future__ import annotations

import re
from typing import Any

from django import forms

from cases.models import Case
from cases.statements import queries
from cases.statements.actions import CHANGE_FIELDS, Linked
from cases.statements.models import Statement, StatementPassage
from cases.statements.rules import Place, read_place, wrong_in_place, wrong_in_statement
from me_office.shell.forms import OfficeForm, RecordForm, ask_one_of, choose_from
from me_office.shell.suggested import suggest

LINES_HELP = "Page and line as in the transcript: 31:4-9, or 31:24-32:3."


class StatementForm(RecordForm, of=Statement):
    """What is said of a statement: who spoke, when, where, and how the words were kept."""

    wrong = staticmethod(wrong_in_statement)
    buttons = ("kind",)
    labels = {
        "kind": "Kind of statement",
        "speaker": "Who spoke or wrote",
        "spoken_to": "Asked by, or written to",
    }
    asks = [*CHANGE_FIELDS]
    help_texts = {
        "given_on": "The day on which it was said or written.",
        "speaker": "Name and role.",
        "spoken_to": "Counsel, agency or addressee.",
        "court": "Required for testimony at a hearing or trial.",
        "cause_number": "Exactly as written.",
        "taken_down": "Shown with every passage.",
        "note": "Where the file came from; errata sheets; parts that are missing.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance._state.adding:
            self.fields["kind"].initial = "deposition"


class NewStatementForm(StatementForm):
    """A new statement with its file or its text."""

    rows = {"text": 8}
    upload = forms.FileField(
        label="PDF",
        required=False,
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": ".pdf,application/pdf"}),
        help_text="Kept unchanged under its SHA-256 digest. At most 50 MB and 1,500 pages, "
        "with text rather than pictures of pages.",
    )
    text = forms.CharField(
        label="Text",
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"spellcheck": "false"}),
        help_text="Page by page: “Page 31” on a line of its own, or form feeds. Line numbers at "
        "the beginning of the lines are kept; without them lines are counted, blank ones too.",
    )
    asks = [*CHANGE_FIELDS, "first_page"]
    help_texts = {
        **StatementForm.help_texts,
        "first_page": "Only where no page numbers are printed.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        ask_one_of(self, "upload", "text")

    def clean(self) -> dict[str, Any]:
        """Ask for the file or the text, one of the two."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        has_text = bool((cleaned.get("text") or "").strip())
        if "upload" not in self.errors and bool(cleaned.get("upload")) == has_text:
            self.add_error("upload", "Choose a PDF or paste the text, one of the two.")
        return cleaned

    @property
    def said(self) -> dict[str, Any]:
        """What is said of the statement."""
        return {name: value for name, value in self.entry.items() if name not in self.beside}

    @property
    def beside(self) -> dict[str, Any]:
        """The file or the text."""
        return {name: self.cleaned_data[name] for name in ("upload", "text")}


class PassageForm(OfficeForm):
    """Lines of a statement, and what they are about."""

    lines = forms.CharField(label="Lines", max_length=40, help_text=LINES_HELP)
    findings = forms.MultipleChoiceField(
        label="Findings", required=False, widget=forms.CheckboxSelectMultiple
    )
    photographs = forms.CharField(
        label="Photographs", required=False, max_length=400, help_text="Numbers: 12, 14."
    )
    exhibits = forms.MultipleChoiceField(
        label="Exhibits", required=False, widget=forms.CheckboxSelectMultiple
    )
    topics = forms.CharField(
        label="Topics",
        required=False,
        max_length=400,
        help_text="In a few words; several apart by semicolons.",
    )

    def __init__(
        self, *args: Any, case: Case, passage: StatementPassage | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, record=passage, **kwargs)
        self.case = case
        if passage is not None:
            del self.fields["lines"]
        findings, exhibits = queries.to_link(case)
        choose_from(
            self,
            "findings",
            [(str(one.pk), f"{one}, {one.place}".rstrip(", ")) for one in findings],
        )
        choose_from(
            self, "exhibits", [(str(one.pk), f"{one}, {one.exhibit_set.title}") for one in exhibits]
        )
        for name, rows in (("findings", findings), ("exhibits", exhibits)):
            if not rows:
                del self.fields[name]
        suggest(self, {"topics": queries.topics_to_offer(case)})
        if passage is not None:
            self._begin_with(passage)

    def _begin_with(self, passage: StatementPassage) -> None:
        links = passage.links.filter(voided_at=None).select_related("photograph")
        said: dict[str, list[str]] = {
            "findings": [],
            "exhibits": [],
            "photographs": [],
            "topics": [],
        }
        for link in links:
            if link.finding_id:
                said["findings"].append(str(link.finding_id))
            elif link.exhibit_id:
                said["exhibits"].append(str(link.exhibit_id))
            elif link.photograph is not None:
                said["photographs"].append(str(link.photograph.number))
            else:
                said["topics"].append(link.topic)
        self.initial.update({name: said[name] for name in ("findings", "exhibits")})
        self.initial["photographs"] = ", ".join(said["photographs"])
        self.initial["topics"] = "; ".join(said["topics"])

    def clean_lines(self) -> Place:
        """Read the place."""
        place = read_place(self.cleaned_data["lines"])
        if place is None:
            raise forms.ValidationError(f"This names no lines. {LINES_HELP}")
        wrong = wrong_in_place(place)
        if wrong:
            raise forms.ValidationError(wrong)
        return place

    def clean_photographs(self) -> list[Any]:
        """Find the photographs by their numbers."""
        typed = [one for one in re.split(r"[,;\s]+", self.cleaned_data["photographs"]) if one]
        wrong = [one for one in typed if not re.fullmatch(r"[Pp]?-?\d{1,5}", one)]
        if wrong:
            raise forms.ValidationError(f"“{wrong[0]}” is no number of a photograph.")
        numbers = {int(re.sub(r"\D", "", one)) for one in typed}
        keys = queries.photographs_numbered(self.case, numbers)
        missing = sorted(numbers - set(keys))
        if missing:
            raise forms.ValidationError(f"There is no photograph {missing[0]} in this case.")
        return [keys[number] for number in sorted(numbers)]

    @property
    def said(self) -> dict[str, Any]:
        """The ends of the passage as its action takes them."""
        place: Place = self.cleaned_data["lines"]
        return {
            "from_page": place.first.page,
            "from_line": place.first.line,
            "to_page": place.last.page,
            "to_line": place.last.line,
        }

    @property
    def beside(self) -> dict[str, Any]:
        """What the lines are about."""
        cleaned = self.cleaned_data
        return {
            "linked": Linked(
                findings=cleaned.get("findings", ()),
                photographs=cleaned.get("photographs", ()),
                exhibits=cleaned.get("exhibits", ()),
                topics=[one.strip()[:80] for one in cleaned["topics"].split(";")],
            )
        }
