"""What the rules ask of a case's review, and what a draft lacks before it is signed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import Count, IntegerField, OuterRef, Subquery
from django.db.models.functions import Coalesce
from django.utils import timezone

from cases.access import people_who_may_see
from cases.certification.models import Certification
from cases.certification.rules import manner_words
from cases.models import Case, Decedent, JurisdictionDecision, ReportOfDeath
from cases.review.authorship import parts_by_person
from cases.review.comment_rules import Weight, must_words
from cases.review.differences import reads_as_before
from cases.review.models import (
    DraftReview,
    IndependentOpinion,
    ReportDraft,
    ReviewComment,
    ReviewPolicy,
    ReviewSeed,
    ReviewSheet,
)
from cases.review.needs_rules import (
    QUESTIONS,
    Circumstances,
    Draw,
    Ground,
    Opinion,
    Rule,
    disagreement_lacks,
    draw_of,
    ground_words,
    grounds,
    opinion_lacks,
    reviewer_words,
    sheet_lacks,
    unanswered_in,
)
from cases.rules.case import CaseState
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role

# What an opinion is compared with, passage by passage of a draft.
COMPARED = ("cause", "contributing", "manner")
CUSTODY_PLACES = ("Jail or prison", "Police custody")


def policy() -> ReviewPolicy:
    """Return the office's rules of review; before any were made, those that ask nothing more."""
    made: ReviewPolicy | None = ReviewPolicy.objects.active().first()
    return made or ReviewPolicy(custody_places="\n".join(CUSTODY_PLACES))


def lines_of(text: str) -> list[str]:
    """Return the lines of a text that say something."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def questions_of(rules: ReviewPolicy) -> list[str]:
    """Return the questions of the sheet: the office's own, or those of common practice."""
    return lines_of(rules.questions) or [one.text for one in QUESTIONS]


@dataclass(frozen=True)
class Needs:
    """What a case's review needs: grounds in `[{"ground", "words"}]`, and how the lot fell."""

    opinion: list[dict[str, str]] = field(default_factory=list)
    sheet: list[dict[str, str]] = field(default_factory=list)
    draw: str = ""
    drawn: bool = False
    questions: list[str] = field(default_factory=list)


def needs_of(case: Case) -> Needs:
    """Return what the rules ask of a case now; a lot that fell for an earlier draft stands."""
    rules = policy()
    of = _circumstances(case)
    places = lines_of(rules.custody_places)
    for_opinion = Rule(rules.opinion_manners, rules.opinion_under_age, rules.opinion_custody)
    for_sheet = Rule(rules.sheet_manners, rules.sheet_under_age, rules.sheet_custody)
    opinion = _said(for_opinion, of, places)
    sheet = _said(for_sheet, of, places)
    earlier = DraftReview.objects.filter(case=case).exclude(draw="").order_by("created_at").first()
    if earlier is not None:
        draw, drawn = earlier.draw, earlier.drawn
    else:
        fell = draw_for(case, rules)
        draw, drawn = (fell[0], fell[1].is_drawn) if fell else ("", False)
    if drawn:
        sheet += [{"ground": Ground.DRAW.value, "words": draw}]
    return Needs(opinion, sheet, draw, drawn, questions_of(rules) if sheet else [])


def draw_for(case: Case, rules: ReviewPolicy) -> tuple[str, Draw] | None:
    """Return how the lot falls for a case, in words and as such; None where nothing is drawn."""
    if not rules.share_percent:
        return None
    seed = seed_for(case.created_at)
    if seed is None:
        return None
    fell = draw_of(seed.seed, str(case.pk), rules.share_percent)
    return f"{fell.words}; seed of {seed.created_at:%Y-%m-%d}", fell


def seed_for(began: datetime) -> ReviewSeed | None:
    """Return the newest seed that was there when a case began, or else the first one."""
    rows = ReviewSeed.objects.active()
    before = rows.filter(created_at__lte=began).order_by("-created_at", "-id").first()
    return before or rows.order_by("created_at", "id").first()


def _circumstances(case: Case) -> Circumstances:
    certification = Certification.objects.filter(case=case).first()
    call = ReportOfDeath.objects.filter(case=case).first()
    accepted = JurisdictionDecision.objects.active().filter(case=case, outcome="accepted")
    decided = accepted.order_by("-decided_at", "-id").first()
    manner = certification.manner if certification else ""
    return Circumstances(
        manner,
        manner_words(manner) if manner else "",
        _age_in_years(case, certification),
        call.place_kind if call else "",
        decided.ground if decided else "",
    )


def _age_in_years(case: Case, certification: Certification | None) -> Decimal | None:
    """Return the age as stated, or else whole years from birth to death or to the first call."""
    decedent = Decedent.objects.filter(case=case).first()
    if decedent is None or decedent.age_years is not None or decedent.born_on is None:
        return decedent.age_years if decedent else None
    died = certification.death_on if certification else None
    died, born = died or timezone.localdate(case.reported_at), decedent.born_on
    return Decimal(died.year - born.year - ((died.month, died.day) < (born.month, born.day)))


def _said(rule: Rule, of: Circumstances, places: list[str]) -> list[dict[str, str]]:
    return [
        {"ground": one.value, "words": ground_words(one, rule, of, places)}
        for one in grounds(rule, of, places)
    ]


def review_of(draft: ReportDraft) -> DraftReview | None:
    """Return what the rules ask of a draft and who has it; None for one that has no such row."""
    found: DraftReview | None = getattr(draft, "review", None)
    return found


def opinion_state(opinion: IndependentOpinion, draft: ReportDraft) -> Opinion:
    """Return where an opinion stands on a draft: compared once holds while the words hold."""
    compared_with = opinion.compared_draft
    compared = compared_with is not None and (
        compared_with.pk == draft.pk
        or all(reads_as_before(key, compared_with.content, draft.content) for key in COMPARED)
    )
    return Opinion(opinion.is_own, compared, opinion.differs, bool(opinion.settled_how))


def opinions_of(case_id: UUID) -> list[IndependentOpinion]:
    """Return the opinions that reviewers recorded in a case, the oldest first."""
    rows = IndependentOpinion.objects.active().filter(case=case_id)
    return list(rows.select_related("created_by", "settled_by", "compared_draft"))


def sheets_of(case_id: UUID) -> list[ReviewSheet]:
    """Return the review sheets of a case, the oldest first."""
    return list(ReviewSheet.objects.active().filter(case=case_id).order_by("created_at", "id"))


@dataclass(frozen=True)
class Lacking:
    """What a draft lacks before it is finished, in sentences, by where it is mended."""

    comments: list[str] = field(default_factory=list)
    opinion: list[str] = field(default_factory=list)
    sheet: list[str] = field(default_factory=list)

    @property
    def all(self) -> list[str]:
        """Every sentence once, in the order of the page."""
        return [*self.comments, *self.opinion, *self.sheet]


def lacking_for(draft: ReportDraft, actor: Staff | None) -> Lacking:
    """Return what a draft lacks before it is finished; `actor` signs the review.

    Without an actor: what stands in the way of everybody who may finish it otherwise.
    """
    musts = ReviewComment.objects.active().filter(case=draft.case_id, resolved_at=None)
    comments = [must_words(musts.filter(weight=Weight.MUST.value).count())]
    asked = review_of(draft)
    opinions = opinions_of(draft.case_id)
    opinion = [disagreement_lacks(opinion_state(one, draft)) for one in opinions]
    sheets = []
    if actor is not None and asked is not None:
        if asked.asks_opinion:
            own = next((one for one in opinions if one.created_by_id == actor.pk), None)
            opinion.append(opinion_lacks(opinion_state(own, draft) if own else None))
        if asked.asks_sheet:
            sheet = ReviewSheet.objects.active().filter(draft=draft, created_by=actor).first()
            answers = sheet.answers if sheet else []
            sheets.append(sheet_lacks(unanswered_in(asked.questions, answers)))
    said = (list(dict.fromkeys(one for one in each if one)) for each in (comments, opinion, sheets))
    return Lacking(*said)


@dataclass(frozen=True)
class Reviewer:
    """Somebody who could review a draft, with what they have to do."""

    person: Staff
    open_reviews: int
    open_cases: int
    wrote: list[str]

    @property
    def words(self) -> str:
        """How much they have to do, and whether they had a part in the report."""
        return reviewer_words(
            open_reviews=self.open_reviews, open_cases=self.open_cases, wrote=self.wrote
        )


def reviewers_for(case: Case) -> list[Reviewer]:
    """Return the pathologists who may see a case with what they have to do; two statements.

    Whoever has the fewest open reviews, then cases, comes first; who had a part comes last.
    """
    reviews = DraftReview.objects.filter(reviewer=OuterRef("pk"), draft__decision=None)
    cases = Case.objects.filter(pathologist=OuterRef("pk"), state=CaseState.OPEN.value)
    rows = (
        people_who_may_see(case)
        .filter(groups__name=Role.PATHOLOGIST.value)
        .annotate(
            open_reviews=Coalesce(_counted(reviews, "reviewer"), 0),
            open_cases=Coalesce(_counted(cases, "pathologist"), 0),
        )
        .order_by("open_reviews", "open_cases", "display_name", "pk")
    )
    wrote = parts_by_person(case.pk)
    found = [
        Reviewer(one, vars(one)["open_reviews"], vars(one)["open_cases"], wrote.get(one.pk, []))
        for one in rows
    ]
    return sorted(found, key=lambda one: bool(one.wrote))


def asked_before(drafts: Sequence[ReportDraft]) -> str:
    """Return whom a further draft goes to: who sent the last one back, or else who was asked.

    `drafts` are newest first, with decision and review.
    """
    if not drafts:
        return ""
    last = drafts[0]
    decided, asked = getattr(last, "decision", None), review_of(last)
    if decided is not None and decided.decided_by_id != last.created_by_id:
        return str(decided.decided_by_id)
    return str(asked.reviewer_id or "") if asked else ""


def _counted(rows: Any, by: str) -> Subquery:
    counted = rows.order_by().values(by).annotate(n=Count("pk")).values("n")
    return Subquery(counted, output_field=IntegerField())
