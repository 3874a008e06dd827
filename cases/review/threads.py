"""The thread of a comment: replies, and that a reviewer is content with it, or no longer."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.utils import timezone

from cases.access import Act
from cases.actions.entry import case_to_change
from cases.models import Case
from cases.review.anchors import place_in
from cases.review.authorship import parts_written_by
from cases.review.comment_rules import Anchor, Weight, became, why_not_resolve
from cases.review.differences import reads_as_before
from cases.review.models import CommentReply, ReportDraft, ReviewComment
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import NotAllowed, Refused, known_of_office
from me_office.audit.records import require_reason, require_version, save_new, save_next_version

REOPENED = "Reopened: "


@action
def reply_to_comment(
    actor: Staff, *, case_id: UUID, record_id: UUID, comment_id: UUID, words: str, reason: str = ""
) -> CommentReply:
    """Say something in the thread of a comment; the author's first reply is an answer, too.

    Raises NotAllowed, NotKnown, Refused, Conflict.
    """
    case = case_to_change(actor, Act.DISCUSS_REVIEW, case_id)
    comment = comment_for_update(case, comment_id)
    if not words.strip():
        raise Refused("Write the reply.", field="words")
    reply = CommentReply(pk=record_id, case=case, comment=comment, words=words.strip())
    return save_new(actor, reply)


@action
def resolve_comment(
    actor: Staff, *, case_id: UUID, comment_id: UUID, version: int, words: str = "",
    reason: str = "",
) -> ReviewComment:  # fmt: skip
    """Say that a comment is settled. Raises NotAllowed, NotKnown, StaleRecord, Refused."""
    _, comment = _to_settle(actor, case_id, comment_id, version)
    if comment.is_resolved:
        raise Refused("This comment is resolved already.")
    comment.resolved_at, comment.resolved_by = timezone.now(), actor
    comment.resolved_words = words.strip()
    return save_next_version(actor, comment)


@action
def reopen_comment(
    actor: Staff, *, case_id: UUID, comment_id: UUID, version: int, reason: str
) -> ReviewComment:
    """Say that a comment is not settled after all; the reason joins its thread.

    Raises NotAllowed, NotKnown, StaleRecord, Refused.
    """
    case, comment = _to_settle(actor, case_id, comment_id, version)
    if not comment.is_resolved:
        raise Refused("This comment is not resolved.")
    why = require_reason(reason)
    before = (
        f" (It was resolved with: “{comment.resolved_words}”)" if comment.resolved_words else ""
    )
    comment.resolved_at, comment.resolved_by, comment.resolved_words = None, None, ""
    save_next_version(actor, comment)
    reopened = CommentReply(case=case, comment=comment, words=f"{REOPENED}{why}{before}")
    save_new(actor, reopened, own_key=True)
    return comment


def comment_for_update(case: Case, comment_id: UUID) -> ReviewComment:
    """Return the locked comment of a case. Raises NotKnown."""
    found = ReviewComment.objects.active().filter(pk=comment_id, case=case)
    comment: ReviewComment | None = found.select_for_update().first()
    return known_of_office(comment, "comment")


def _to_settle(
    actor: Staff, case_id: UUID, comment_id: UUID, version: int
) -> tuple[Case, ReviewComment]:
    case = case_to_change(actor, Act.DISCUSS_REVIEW, case_id)
    comment = comment_for_update(case, comment_id)
    own = comment.created_by_id == actor.pk
    why = why_not_resolve(own_comment=own, wrote=[] if own else parts_written_by(actor.pk, case.pk))
    if why:
        raise NotAllowed(why)
    require_version(comment, version)
    return case, comment


@dataclass(frozen=True)
class Thread:
    """A comment as a draft's page shows it; `from_draft` where it was made on an earlier one."""

    comment: ReviewComment
    said: Sequence[Mapping[str, str]]
    may_resolve: bool
    from_draft: int | None = None
    became: str = ""

    @property
    def weight_words(self) -> str:
        """How much its writer means it."""
        return Weight(self.comment.weight).words

    @property
    def is_answered(self) -> bool:
        """Tell whether its author said something to it, or it is settled without."""
        by = {reply["by"] for reply in self.said}
        author = str(self.comment.draft.created_by_id)
        return bool(self.comment.answer or self.comment.is_resolved or author in by)

    @property
    def replies(self) -> list[tuple[str, datetime, str]]:
        """Who said what when in its thread, the author's answer among it, oldest first."""
        said = [
            (*_who_said(one["name"], one["words"]), datetime.fromisoformat(one["at"]))
            for one in self.said
        ]
        if self.comment.answer and self.comment.answered_at:
            by = str(self.comment.answered_by)
            said.append((by, self.comment.answer, self.comment.answered_at))
        return [(who, at, words) for who, words, at in sorted(said, key=lambda one: one[2])]

    @property
    def state_words(self) -> str:
        """Where it stands, in a word or two."""
        if self.comment.is_resolved:
            return "resolved"
        return "answered" if self.is_answered else "not answered"

    @property
    def about(self) -> str:
        """What it is about, where it stands beside no passage or is of something within."""
        return "" if self.comment.anchor == Anchor.PASSAGE else self.comment.quoted


def _who_said(name: str, words: str) -> tuple[str, str]:
    if words.startswith(REOPENED):
        return f"{name} reopened it", words.removeprefix(REOPENED)
    return name, words


def threads_in(
    drafts: Sequence[ReportDraft], *, person_id: UUID, wrote: Sequence[str]
) -> dict[str, list[Thread]]:
    """Return the comments of the newest draft and what is open of earlier ones, by their place.

    The place is the key of a passage or table of the newest draft, or empty. `drafts` are newest
    first, with their comments as `queries.drafts_of` reads them.
    """
    if not drafts:
        return {}
    newest = drafts[0]
    found: dict[str, list[Thread]] = {}
    for draft in reversed(drafts):
        for comment in draft.comments.all():
            earlier = draft is not newest
            if earlier and comment.is_resolved:
                continue
            comment.draft = draft
            place = place_in(newest.content, comment.anchor, comment.passage, comment.of_finding)
            own = comment.created_by_id == person_id
            thread = Thread(
                comment,
                said=vars(comment)["said"],
                may_resolve=not why_not_resolve(own_comment=own, wrote=wrote),
                from_draft=draft.number if earlier else None,
                became=_became(comment, draft.content, newest.content) if earlier else "",
            )
            found.setdefault(place, []).append(thread)
    return found


def _became(comment: ReviewComment, before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    if comment.anchor in {Anchor.DRAFT, Anchor.PHOTOGRAPH}:
        return ""
    was = place_in(before, comment.anchor, comment.passage, comment.of_finding)
    now = place_in(after, comment.anchor, comment.passage, comment.of_finding)
    return became(bool(now), bool(now) and was == now and reads_as_before(now, before, after))
