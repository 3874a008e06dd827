"""Reads of letters, templates and sendings."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Max, Prefetch, Q, QuerySet, Subquery

from cases.court.models import RecordsRequest
from cases.letters.merging import merged
from cases.letters.models import Letter, LetterMail, LetterSending, LetterTemplate
from cases.letters.rules import LetterKind, Outcome, Way
from cases.letters.standard import STANDARD
from cases.models import Case
from me_office.audit.errors import known, known_of_office
from me_office.version import VERSION

STANDARD_WORDS = "standard text"
LATELY = timedelta(days=2)
MOST_TOLD = 500


def _whole(rows: QuerySet[Letter]) -> QuerySet[Letter]:
    sent: Prefetch[str, QuerySet[LetterSending], str] = Prefetch(
        "sendings", LetterSending.objects.select_related("created_by", "voided_by")
    )
    return rows.select_related(
        "case__decedent", "request", "file", "created_by", "made_by", "voided_by"
    ).prefetch_related(sent)


def letters_of(case: Case) -> list[Letter]:
    """Return the letters of a case, the latest first, each with how it was sent; two statements."""
    return list(_whole(Letter.objects.filter(case=case)).order_by("-number"))


def letters_of_request(request_id: UUID) -> list[Letter]:
    """Return the letters of a request that count, the latest first; two statements."""
    rows = Letter.objects.active().filter(request=request_id)
    return list(_whole(rows).order_by("-number"))


def cover_letter_of(request_id: UUID) -> Letter | None:
    """Return the latest cover letter of a request that is made and stands, for its release.

    Its kept bytes are `cases.letters.actions.letter_pdf`.
    """
    rows = Letter.objects.active().filter(
        request=request_id, kind=LetterKind.COVER.value, file__isnull=False
    )
    return _whole(rows).order_by("-number").first()


def letters_not_sent(now: datetime) -> list[str]:
    """Return why letters of the last days were not mailed, or wait for another try."""
    rows = LetterMail.objects.filter(
        Q(tried_at__gte=now - LATELY) | Q(tried_at__gt=now),
        sending__voided_at=None,
        sending__letter__voided_at=None,
        outcome__in=[Outcome.WAITING.value, Outcome.FAILED.value, Outcome.UNKNOWN.value],
    )
    return list(
        rows.exclude(fault="")
        .order_by("-tried_at", "id")
        .values_list("fault", flat=True)[:MOST_TOLD]
    )


def letter_of(case: Case, letter_id: UUID) -> Letter:
    """Return a letter of the case. Raises NotKnown."""
    return known(_whole(Letter.objects.filter(case=case, pk=letter_id)).first(), "letter")


def letter_for_update(case: Case, letter_id: UUID) -> Letter:
    """Return a letter of the case, locked. Raises NotKnown."""
    rows = Letter.objects.select_for_update(of=("self",)).filter(case=case, pk=letter_id)
    return known(rows.first(), "letter")


def request_of(case: Case, request_id: UUID) -> RecordsRequest:
    """Return a request of the case, with the decedent. Raises NotKnown."""
    rows = RecordsRequest.objects.filter(case=case, pk=request_id)
    return known(rows.select_related("case__decedent").first(), "request")


def requests_of(case: Case) -> list[RecordsRequest]:
    """Return the requests of a case for which letters may be written, the latest first."""
    return list(RecordsRequest.objects.filter(case=case).order_by("-id"))


def next_number(case: Case) -> int:
    """Return the number of the next letter of a case that is locked."""
    last: int | None = Letter.objects.filter(case=case).aggregate(last=Max("number"))["last"]
    return (last or 0) + 1


def templates_in_use() -> list[LetterTemplate]:
    """Return the office's templates that are offered; one statement."""
    rows = LetterTemplate.objects.active().select_related("changed_by")
    return list(rows.order_by("kind", "title", "id"))


def template_of(template_id: UUID) -> LetterTemplate:
    """Return an edition of a template, in use or not. Raises NotKnown."""
    rows = LetterTemplate.objects.select_related("created_by", "voided_by")
    return known_of_office(rows.filter(pk=template_id).first(), "template")


def editions_of(template: LetterTemplate, *, most: int = 50) -> list[LetterTemplate]:
    """Return the editions up to this one and after it, the latest first."""
    rows = LetterTemplate.objects.filter(kind=template.kind).select_related("created_by")
    by_key = {one.pk: one for one in rows.order_by("-created_at", "-id")[:500]}
    later = {one.replaces_id: one for one in by_key.values() if one.replaces_id}
    newest = template
    while newest.pk in later:
        newest = later[newest.pk]
    found: list[LetterTemplate] = []
    at: LetterTemplate | None = newest
    while at is not None and len(found) < most:
        found.append(at)
        at = by_key.get(at.replaces_id) if at.replaces_id else None
    return found


@dataclass(frozen=True)
class Begun:
    """Subject and text with which a letter begins, and what it was begun from."""

    subject: str
    body: str
    edition: str
    template: LetterTemplate | None = None


def begun_from(kind: LetterKind, template: LetterTemplate | None, values: dict[str, str]) -> Begun:
    """Return a letter's first text: a template's, or the standard one of its kind, filled in."""
    if template is None:
        text = STANDARD[kind]
        edition = f"{STANDARD_WORDS} of version {VERSION}"
        first = Begun(text.subject, text.body, edition)
    else:
        first = Begun(template.subject, template.body, template.edition_words, template)
    return replace(
        first,
        subject=" ".join(merged(first.subject, values).split()),
        body=merged(first.body, values),
    )


@dataclass(frozen=True)
class Offer:
    """A kind of letter with what it may begin from."""

    kind: LetterKind
    words: str
    templates: Sequence[LetterTemplate]


def offers() -> list[Offer]:
    """Return each kind with the office's templates; where there are none, the standard text."""
    by_kind: dict[str, list[LetterTemplate]] = defaultdict(list)
    for one in templates_in_use():
        by_kind[one.kind].append(one)
    return [Offer(kind, kind.words, by_kind[kind.value]) for kind in LetterKind]


def last_mail(letter: Letter, address: str, *, after: UUID | None) -> LetterSending | None:
    """Return the last mail of a letter to an address that did not fail, recorded after another."""
    rows = LetterSending.objects.active().filter(
        letter=letter, way=Way.EMAIL.value, address__iexact=address
    )
    if after is not None:
        read = LetterSending.objects.filter(letter=letter, pk=after).values("created_at")
        rows = rows.exclude(created_at__lte=Subquery(read))
    rows = rows.exclude(outcome=Outcome.FAILED.value).select_related("created_by")
    return rows.order_by("created_at", "id").last()


def last_sending(letter: Letter) -> UUID | None:
    """Return the key of what was recorded last of a letter's sending, withdrawn or not."""
    rows = LetterSending.objects.filter(letter=letter).order_by("created_at", "id")
    return rows.values_list("pk", flat=True).last()
