"""Which readings of a report can be compared, and what differs between two of them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django import forms

from cases.models import Case
from cases.review.content import report_content
from cases.review.differences import Difference, differences
from cases.review.models import ReportDraft
from cases.review.queries import sent_drafts
from me_office.audit.errors import NotKnown

NOW = "now"
Reading = tuple[str, str]


def offered(drafts: Sequence[ReportDraft], *, is_locked: bool) -> list[Reading]:
    """Return the readings in their order, each with what it is called.

    A signed report is what was signed: the case file says nothing else of it.
    """
    found = [(str(one.number), f"Draft {one.number}") for one in reversed(drafts)]
    return found if is_locked else [*found, (NOW, "The case file now")]


def between(case_id: UUID, before: str, after: str) -> list[Difference]:
    """Return what differs between two readings that are offered, in at most two statements more."""
    numbers = [int(one) for one in (before, after) if one != NOW]
    rows = ReportDraft.objects.filter(case_id=case_id, number__in=numbers).order_by("number")
    contents: dict[str, Any] = {str(one.number): one.content for one in rows}
    if NOW in (before, after):
        contents[NOW] = report_content(case_id)
    return differences(contents[before], contents[after])


def compared(case: Case, before: str, after: str) -> list[Difference]:
    """Return what differs between two readings of a case's report. Raises NotKnown."""
    readings = {key for key, _ in offered(sent_drafts(case.pk), is_locked=case.is_locked)}
    if not {before, after} <= readings:
        raise NotKnown("There is no such draft to compare.")
    return between(case.pk, before, after)


class CompareForm(forms.Form):
    """Which two readings; the last two unless others are chosen."""

    before = forms.ChoiceField(label="Earlier")
    after = forms.ChoiceField(label="Later")

    def __init__(self, *args: Any, readings: Sequence[Reading], **kwargs: Any) -> None:
        chosen = last_two(readings)
        if chosen:
            kwargs["initial"] = dict(zip(("before", "after"), chosen, strict=True))
        super().__init__(*args, **kwargs)
        for name in ("before", "after"):
            self.fields[name] = forms.ChoiceField(
                label=self.fields[name].label, choices=readings, required=False
            )

    def clean(self) -> dict[str, Any]:
        """Ask for both."""
        said = super().clean() or {}
        for name in ("before", "after"):
            if name not in self.errors and not said.get(name):
                self.add_error(name, "Choose what is compared.")
        return said

    def asked(self, readings: Sequence[Reading]) -> tuple[str, str] | None:
        """Return the two that are compared; None without two, or where what was sent is wrong."""
        if not self.is_bound:
            return last_two(readings)
        if not self.is_valid():
            return None
        return self.cleaned_data["before"], self.cleaned_data["after"]


def last_two(readings: Sequence[Reading]) -> tuple[str, str] | None:
    """Return the last two readings, the earlier first; None where there are not two."""
    if len(readings) < 2:
        return None
    return readings[-2][0], readings[-1][0]
