"""What weight a comment has, what it can be about, and who may settle it. No database."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from cases.review.rules import why_no_reviewer
from me_office.worded import Worded


class Weight(Worded):
    """How much a reviewer means it."""

    MUST = "must", "must change"
    SUGGESTION = "suggestion", "suggestion"
    QUESTION = "question", "question"


class Anchor(StrEnum):
    """What a comment is about."""

    PASSAGE = "passage"
    FINDING = "finding"
    MARK = "mark"
    PHOTOGRAPH = "photograph"
    DRAFT = "draft"


# Why a draft goes back: common practice, few enough to be counted.
RETURN_CAUSES = {
    "wording": "wording",
    "findings": "a finding is missing or not described enough",
    "support": "cause or manner is not supported by the findings",
    "disagree": "the reviewer disagrees with cause, manner or opinion",
    "pictures": "photographs or chart do not agree with the text",
    "record": "records or results are missing",
    "other": "something else",
}


def unknown_causes(causes: Sequence[str]) -> list[str]:
    """Return what is none of the causes for which a draft goes back."""
    return [one for one in causes if one not in RETURN_CAUSES]


def why_not_resolve(*, own_comment: bool, wrote: Sequence[str]) -> str:
    """Return why somebody may not resolve or reopen a comment; empty if they may.

    Who made it may, and whoever could review the report; not those whose words it is about.
    """
    if own_comment or not wrote:
        return ""
    return (
        f"{why_no_reviewer(wrote)} A comment is resolved or reopened by whoever made it, or by "
        "another reviewer."
    )


def must_words(unresolved: int) -> str:
    """Say what keeps a draft from being signed off; empty for nothing."""
    if not unresolved:
        return ""
    if unresolved == 1:
        return "1 comment marked “must change” is not resolved."
    return f"{unresolved} comments marked “must change” are not resolved."


def became(stood: bool, reads_as_before: bool) -> str:
    """Say what became, in a later draft, of the passage that a comment was made on."""
    if not stood:
        return "The passage is no longer in the draft."
    return "The passage reads as it did." if reads_as_before else "The passage has changed since."
