"""The office's own words for an explanation: given, changed, withdrawn."""

from __future__ import annotations

from cases.access import Act
from cases.actions.office import changes_own, withdraws_own
from cases.explanations.models import Explanation
from cases.explanations.shipped import shipped
from me_office.audit.fields import set_fields
from me_office.entries import Entry

ENTERED = ("question", "words", "source")


def _put(explanation: Explanation, entry: Entry) -> None:
    set_fields(explanation, entry, ENTERED)


change_explanation = changes_own(
    "change_explanation", Explanation, "explanation", _put,
    act=Act.KEEP_EXPLANATIONS, shipped=shipped,
)  # fmt: skip

# The text as it comes is given again.
withdraw_explanation = withdraws_own(
    "withdraw_explanation", Explanation, "The office has no words of its own for this.",
    act=Act.KEEP_EXPLANATIONS,
)  # fmt: skip
