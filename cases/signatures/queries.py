"""Reads of certificates, signed documents, and what is known of a code or a digest."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db.models import Count, Max, Prefetch, Q, QuerySet
from django.utils import timezone

from cases.review.models import Addendum, ReviewDecision, SignedPdf
from cases.signatures.models import Certificate, Signature, SignedDocument
from cases.signatures.rules import Later, good_one, read_code, read_digest, state_words
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import known
from me_office.moments import local

# More certificates of one person than an office issues in a century are not listed.
MOST = 500


def authority() -> Certificate | None:
    """Return the office's own authority, or None."""
    rows = Certificate.objects.filter(kind=Certificate.AUTHORITY, revoked_at=None)
    found: Certificate | None = rows.first()
    return found


def authorities_ever() -> list[Certificate]:
    """Return every authority of this office, also one that was replaced."""
    return list(Certificate.objects.filter(kind=Certificate.AUTHORITY).order_by("not_before", "id"))


def stamp_authorities() -> list[Certificate]:
    """Return the authorities of time stamps that the office trusts."""
    rows = Certificate.objects.filter(kind=Certificate.STAMPS, revoked_at=None)
    return list(rows.order_by("not_before", "id"))


def revoked_here() -> list[tuple[str, datetime]]:
    """Return serial and moment of each certificate of this office that was revoked."""
    rows = Certificate.objects.filter(
        kind=Certificate.PERSON, issued_here=True, revoked_at__isnull=False
    )
    said = rows.order_by("revoked_at", "id").values_list("serial", "revoked_at")
    return [(serial, at) for serial, at in said if at is not None]


def list_name() -> str | None:
    """Return a name for what the list of revoked certificates says now, or None without a root."""
    root = authority()
    if root is None:
        return None
    rows = Certificate.objects.filter(issued_here=True, revoked_at__isnull=False)
    said = rows.aggregate(many=Count("pk"), last=Max("revoked_at"))
    return f"{root.serial}-{said['many']}-{said['last'].timestamp() if said['last'] else ''}"


def held_by(people: Iterable[UUID]) -> dict[UUID, list[Certificate]]:
    """Return, by person, the certificates whose private key is kept here; one statement."""
    found: dict[UUID, list[Certificate]] = {}
    rows = Certificate.objects.filter(
        kind=Certificate.PERSON, person__in=list(people), signing_key__isnull=False
    )
    for one in rows.order_by("not_before", "id"):
        if one.person_id is not None:
            found.setdefault(one.person_id, []).append(one)
    return found


@dataclass(frozen=True)
class Holder:
    """A person who signs, with the certificate that signs now and how it stands."""

    person: Staff
    certificate: Certificate | None
    state: str


def holders() -> list[Holder]:
    """Return everybody who signs reports, each with the certificate that counts; two statements."""
    people = list(
        Staff.objects.filter(groups__name=Role.PATHOLOGIST.value, is_active=True)
        .order_by("display_name", "id")
        .distinct()[:MOST]
    )
    now, held = timezone.now(), held_by(person.pk for person in people)
    found = []
    for person in people:
        own = held.get(person.pk, [])
        one = good_one(own, now) or (own[-1] if own else None)
        found.append(Holder(person, one, state_words(one, now) if one else "none"))
    return found


def certificates() -> list[Certificate]:
    """Return the certificates, those that end last first."""
    rows = Certificate.objects.active().select_related("person", "signing_key")
    return list(rows.order_by("-not_after", "id")[:MOST])


def certificate_of(certificate_id: UUID) -> Certificate:
    """Return one certificate. Raises NotKnown."""
    return known(
        Certificate.objects.select_related("person").filter(pk=certificate_id).first(),
        "certificate",
    )


def _with_signatures() -> QuerySet[SignedDocument]:
    signed = Signature.objects.select_related("certificate", "signer").order_by("order", "id")
    rows: QuerySet[SignedDocument] = SignedDocument.objects.select_related(
        "report__draft", "addendum", "file"
    ).prefetch_related(Prefetch("signatures", queryset=signed))
    return rows.order_by("created_at", "id")


def documents_of(case_id: UUID) -> list[SignedDocument]:
    """Return the signed documents of a case with their signatures, oldest first; two statements."""
    return list(_with_signatures().filter(case_id=case_id))


def document_of(case_id: UUID, document_id: UUID) -> SignedDocument:
    """Return one signed document of a case. Raises NotKnown."""
    found = _with_signatures().filter(case_id=case_id, pk=document_id).first()
    return known(found, "signed document")


def document_of_report(report: SignedPdf | None) -> SignedDocument | None:
    """Return the signatures of a kept report, or None where it was kept without a code."""
    if report is None:
        return None
    return _with_signatures().filter(report=report).first()


@dataclass(frozen=True)
class Known:
    """What may be told of a document to whoever has it: no name, nothing of the case."""

    kind: str
    signed_on: date
    code: str
    sha256: str
    # How many digital signatures the file carries, and whose they are not said.
    signatures: int
    later: Sequence[Later]


def known_by(said: str) -> Known | None:
    """Return what is known of a document by its code or the SHA-256 of its file, or None.

    Four statements at most, whatever was asked.
    """
    code, digest = read_code(said), read_digest(said)
    if code is None and digest is None:
        return None
    asked = Q(code=code) if code else Q(sha256=digest)
    found = SignedDocument.objects.filter(asked).select_related("report__draft", "addendum").first()
    if found is not None:
        addendum, report = found.addendum, found.report
        after = addendum.number if addendum else 0
        signed_at = addendum.made_at if addendum else found.created_at
        if report is not None:
            signed_at = _decided_at(report.draft_id)
        return Known(
            kind=addendum.kind if addendum else "report",
            signed_on=local(signed_at).date(),
            code=found.code,
            sha256=found.sha256,
            signatures=found.signatures.exclude(level="").count(),
            later=_later(found.case_id, after),
        )
    return _known_without_code(digest) if digest else None


def _known_without_code(digest: str) -> Known | None:
    """Return what is known of a report whose PDF was kept before documents had codes."""
    kept = SignedPdf.objects.filter(file__sha256=digest).select_related("draft").first()
    if kept is None:
        return None
    return Known(
        kind="report",
        signed_on=local(_decided_at(kept.draft_id)).date(),
        code="",
        sha256=digest,
        signatures=0,
        later=_later(kept.case_id, 0),
    )


def _decided_at(draft_id: UUID) -> datetime:
    decided: Any = ReviewDecision.objects.values_list("decided_at", flat=True)
    at: datetime = decided.get(draft_id=draft_id)
    return at


def _later(case_id: UUID, after: int) -> list[Later]:
    rows = Addendum.objects.active().filter(case_id=case_id, number__gt=after).order_by("number")
    return [
        Later(kind, number, local(at).date())
        for kind, number, at in rows.values_list("kind", "number", "made_at")[:MOST]
    ]
