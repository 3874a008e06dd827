"""States of a report, what may follow what, and what is lacking. No database."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from me_office.statements import COMMON_PRACTICE, statement
from me_office.worded import Worded

# How the key of a passage ends that says what a finding means.
MEANING = "-meaning"
# And of one that tells the path of a wound.
PATH = "-path"
SECOND_READER = statement(
    "review.second-reader",
    "Review records that a second licensed pathologist has read the report. It does not replace "
    "your own judgment, nor local law.",
    where="Review",
    source=COMMON_PRACTICE,
)

# What a signature says, besides the author's own statement: shown before it, and kept with it.
REVIEWED = "I have reviewed this report and sign it off."
ADDED = "I have read this document whole. It says what I add or change."


class ReportState(Worded):
    """Where the report of examination stands."""

    DRAFT = "draft", "being written"
    SUBMITTED = "submitted", "in peer review"
    RETURNED = "returned", "sent back"
    SIGNED = "signed", "signed"


ALLOWED_MOVES: dict[ReportState, frozenset[ReportState]] = {
    ReportState.DRAFT: frozenset({ReportState.SUBMITTED}),
    ReportState.SUBMITTED: frozenset({ReportState.RETURNED, ReportState.SIGNED}),
    ReportState.RETURNED: frozenset({ReportState.SUBMITTED}),
    ReportState.SIGNED: frozenset(),
}


class AddendumKind(StrEnum):
    """An addendum adds; an amendment changes what the signed report says."""

    ADDENDUM = "addendum"
    AMENDMENT = "amendment"


@dataclass(frozen=True)
class Readiness:
    """What the rules need to know of a case before its report may be reviewed."""

    examination_opened: bool
    examination_ended: bool
    circumstances_reviewed: bool
    cause_stated: bool
    opinion_written: bool
    unanswered_comments: int


def missing_before_review(ready: Readiness) -> list[str]:
    """Return, in sentences, what has to be done before the report may go to review.

    The list follows the report's required contents in the National Association of Medical
    Examiners' Forensic Autopsy Performance Standards (2016 text; contents from memory).
    """
    lacking: list[str] = []
    if not ready.examination_opened:
        lacking.append("The examination has not been opened.")
    elif not ready.examination_ended:
        lacking.append("The examination has no end time.")
    if ready.examination_opened and not ready.circumstances_reviewed:
        lacking.append("It is not recorded that the circumstances were reviewed.")
    if not ready.cause_stated:
        lacking.append("Cause and manner are not stated; “pending” can be stated.")
    if not ready.opinion_written:
        lacking.append("The opinion is not written.")
    if ready.unanswered_comments:
        n = ready.unanswered_comments
        words = "comment is" if n == 1 else "comments are"
        lacking.append(f"{n} {words} not answered.")
    return lacking


CLOSING = statement(
    "review.closing",
    "A case is closed without a report only if nothing was examined. A body that was "
    "examined, even only externally, is reported.",
    where="Closing without a report",
    source=COMMON_PRACTICE,
)


@dataclass(frozen=True)
class ClosingFacts:
    """What the rule for closing without a report needs to know of a case."""

    examination_opened: bool
    scene_settled: bool  # recorded, or stated that there was no visit
    body_settled: bool  # received, or stated that it was not received here
    body_here: bool


def missing_before_closing(known: ClosingFacts) -> list[str]:
    """Return, in sentences, what keeps a case from being closed without a report."""
    lacking: list[str] = []
    if known.examination_opened:
        lacking.append("An examination is opened: its report has to be written and finished.")
    if not known.scene_settled:
        lacking.append("The scene is neither recorded nor stated as not visited.")
    if not known.body_settled:
        lacking.append("The body is neither received nor stated as not received here.")
    if known.body_here:
        lacking.append("The body is in the office: record its release first.")
    return lacking


def can_move(now: ReportState, to: ReportState) -> bool:
    """Tell whether a report in state `now` may go to state `to`."""
    return to in ALLOWED_MOVES[now]


def digest_of(content: dict[str, object]) -> str:
    """Return the SHA-256 of a report's content in canonical form."""
    return hashlib.sha256(canonical_of(content)).hexdigest()


def canonical_of(content: dict[str, object]) -> bytes:
    """Return a content in canonical form: sorted keys, no spaces."""
    said = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    return said.encode()


WROTE_REPORT = "the report"


def why_no_reviewer(wrote: Sequence[str], *, who: str = "You") -> str:
    """Return why somebody who wrote these parts of a report cannot review it; empty if nothing.

    Peer review is by a pathologist who did not take part (common practice). Who does it instead
    is not said here: in an office with one pathologist it may be nobody.
    """
    if not wrote:
        return ""
    if WROTE_REPORT in wrote:
        return f"{who} wrote this report and cannot be its reviewer."
    parts = wrote[0] if len(wrote) == 1 else f"{', '.join(wrote[:-1])} and {wrote[-1]}"
    return f"{who} wrote {parts} of this report and cannot be its reviewer."


def why_no_recorder(wrote: Sequence[str]) -> str:
    """Return why somebody who wrote of a report does not record who reviewed it elsewhere."""
    if not wrote:
        return ""
    return (
        "You wrote of this report. Somebody who did not records that it was reviewed by a "
        "pathologist of another office."
    )
