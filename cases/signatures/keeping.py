"""Signs a printed document and keeps it, once: the one file that goes out.

Who signs is fixed by the acts of the people: the author's when the report was sent, the
reviewer's at sign-off, each with their password. A job prints the file and puts their
signatures on it; nothing of it is published before it was checked.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.conf import settings
from django.utils import timezone

from cases.queries import case_for_update
from cases.review.lines import Lines
from cases.review.models import Addendum, ReportDraft, SignedPdf
from cases.review.rules import ADDED, REVIEWED
from cases.review.signed_pdf import keep_signed_pdf
from cases.signatures import actions, queries
from cases.signatures.authority import own_root
from cases.signatures.models import Certificate, SecondSignature, Signature, SignedDocument
from cases.signatures.rules import AGREED, FIELDS, SignedBy, code_of, good_one, is_good
from evidence import store
from evidence.store import Incoming
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Refused
from me_office.audit.ids import new_id
from me_office.audit.records import save_new
from me_office.shell.templatetags.office import moment

# A stamp is asked for and taken within seconds; further off, one of the clocks is wrong.
CLOCKS_DIFFER = timedelta(hours=1)


class NoTimeStamp(Exception):
    """The time-stamp authority gave no stamp that can be used: the file is made again later."""


class NotSigned(Exception):
    """The file could not be signed as it must be; nothing of it was kept."""


@dataclass(frozen=True)
class Signs:
    """One who signs: what they did and when, and the certificate that shows it, if there is one."""

    role: SignedBy
    person: Staff
    signed_as: str
    acted_at: datetime
    statement: str
    certificate: Certificate | None = None


@dataclass(frozen=True)
class Plan:
    """What a document prints of its signatures and its code, before and after it is signed."""

    code: str
    signs: Sequence[Signs] = ()
    recorded: str = ""
    levels: Mapping[SignedBy, str] = field(default_factory=dict)

    @property
    def is_digital(self) -> bool:
        """Tell whether the file carries a digital signature at all."""
        return any(one.certificate for one in self.signs)

    def printed(self) -> dict[str, Any]:
        """Return what the document's template prints."""
        return {
            "code": self.code,
            "address": verify_address(),
            "office": office_words(),
            "recorded": self.recorded,
            "digital": self.is_digital,
            "signers": [
                {
                    "name": one.signed_as,
                    "role": one.role.words,
                    "when": moment(one.acted_at),
                    "statement": one.statement,
                    "serial": one.certificate.serial if one.certificate else "",
                    "issuer": one.certificate.issuer if one.certificate else "",
                }
                for one in self.signs
            ],
        }


def office_words() -> str:
    """Return how the office is reached, as it is printed where its page has no address."""
    phone = f"telephone {settings.OFFICE_PHONE}" if settings.OFFICE_PHONE else ""
    return ", ".join(part for part in (" ".join(settings.OFFICE_ADDRESS.split()), phone) if part)


def verify_address() -> str:
    """Return the address of the page that tells of a code, as it is printed."""
    origins = settings.CSRF_TRUSTED_ORIGINS
    return f"{origins[0].removeprefix('https://')}/verify/" if origins else ""


def plan_of_report(draft: ReportDraft, decision: Any) -> Plan:
    """Return who signs a report: its author and, where one of the office reviewed, the reviewer."""
    author = Signs(
        SignedBy.AUTHOR,
        draft.created_by,
        draft.signed_as or draft.created_by.printed_name,
        draft.submitted_at,
        draft.statement,
    )
    signs, recorded = [author], ""
    if decision.outcome == "signed":
        name = decision.signed_as or decision.decided_by.printed_name
        signs.append(
            Signs(SignedBy.REVIEWER, decision.decided_by, name, decision.decided_at, REVIEWED)
        )
    else:
        recorded = decision.sentence
    return Plan(code_of(draft.pk), _with_certificates(signs), recorded)


def plan_of_addendum(addendum: Addendum, second: SecondSignature | None) -> Plan:
    """Return who signs an addendum: its author and, where the office asks, a second pathologist."""
    name = addendum.signed_as or addendum.made_by.printed_name
    signs = [Signs(SignedBy.AUTHOR, addendum.made_by, name, addendum.made_at, ADDED)]
    if second is not None:
        signs.append(
            Signs(SignedBy.SECOND, second.signed_by, second.signed_as, second.signed_at, AGREED)
        )
    return Plan(code_of(addendum.pk), _with_certificates(signs))


def plan_kept(document: SignedDocument) -> Plan:
    """Return the same of a document that is kept: what its file prints."""
    signatures = list(document.signatures.all())
    return Plan(
        document.code,
        [
            Signs(
                SignedBy(one.role), one.signer, one.signed_as, one.acted_at, one.statement,
                one.certificate,
            )
            for one in signatures
        ],
        document.recorded,
        {SignedBy(one.role): one.level for one in signatures},
    )  # fmt: skip


def _with_certificates(signs: Sequence[Signs]) -> list[Signs]:
    now = timezone.now()
    held = queries.held_by(one.person.pk for one in signs)
    return [replace(one, certificate=good_one(held.get(one.person.pk, []), now)) for one in signs]


@dataclass(frozen=True)
class Made:
    """A signed file before it is kept, with what its check said."""

    pdf: bytes
    plan: Plan
    put_at: datetime
    stamped: Mapping[SignedBy, datetime | None] = field(default_factory=dict)


def put_signatures(pdf: bytes, plan: Plan) -> Made:
    """Return the PDF with the signature of everybody who has a certificate, checked.

    Raises NotSigned, NoTimeStamp, CannotOpen.
    """
    # Read where it is needed: the library takes a second to load, and few processes sign.
    from cases.signatures import pades

    now = timezone.now()
    if not plan.is_digital:
        return Made(pdf, plan, now)
    revoked = actions.office_list(now)
    signers = [
        pades.Signer(
            *FIELDS[one.role],
            name=one.signed_as,
            reason=one.statement,
            location=settings.OFFICE_ADDRESS,
            pem=one.certificate.pem,
            chain=one.certificate.chain,
            key=actions.key_of(one.certificate),
        )
        for one in plan.signs
        if one.certificate
    ]
    lists = [revoked] if revoked else []
    try:
        signed = pades.sign(pdf, signers, lists=lists, stamps_at=settings.TIMESTAMP_URL)
    except pades.NoTimeStamp as error:
        raise NoTimeStamp(str(error)) from error
    return Made(signed, plan, now, _checked(signed, plan, timezone.now(), lists))


def _checked(
    pdf: bytes, plan: Plan, now: datetime, lists: Sequence[bytes]
) -> dict[SignedBy, datetime | None]:
    from cases.signatures import validating

    found = validating.check(
        pdf,
        roots=roots_of([one.certificate for one in plan.signs if one.certificate]),
        at=now,
        lists=lists,
        stamp_roots="".join(one.pem for one in queries.stamp_authorities()),
    )
    by_field = {one.field: one for one in found}
    stamped: dict[SignedBy, datetime | None] = {}
    for one in plan.signs:
        if one.certificate is None:
            continue
        seen = by_field.get(FIELDS[one.role][0])
        if seen is None:
            raise NotSigned("a signature is missing in the file")
        if seen.says == validating.WRONG_STAMP:
            raise NoTimeStamp(seen.says)
        if seen.stamped_at is not None and abs(seen.stamped_at - now) > CLOCKS_DIFFER:
            raise NoTimeStamp("the time stamp is of another time than the signing")
        if not seen.is_valid or seen.serial != one.certificate.serial:
            raise NotSigned(seen.says or "another certificate signed")
        stamped[one.role] = seen.stamped_at
    return stamped


def roots_of(certificates: Sequence[Certificate]) -> str:
    """Return what is trusted for these: the office's own authorities, and each one's own above it.

    A certificate of another authority was brought by an administrator, who answers for it; the
    office does not know its root, and trusts the last one that came with it, or itself.
    """
    roots = [one.pem for one in queries.authorities_ever()]
    roots += [own_root(one.pem, one.chain) for one in certificates if not one.issued_here]
    return "".join(dict.fromkeys(roots))


def roots_by_name(plan: Plan) -> list[tuple[str, str]]:
    """Return the root certificates of those who signed, each with the name of its file."""
    signed = [one.certificate for one in plan.signs if one.certificate]
    found = {own_root(one.pem, one.chain): one for one in signed}
    return [
        ("office-root.pem" if one.issued_here else f"root-of-{one.serial}.pem", pem)
        for pem, one in found.items()
    ]


@action
def keep_signed_report(
    actor: Staff,
    *,
    draft_id: UUID,
    incoming: Incoming,
    pages: int,
    lines: Mapping[str, Lines],
    made: Made,
) -> SignedPdf:
    """Keep the signed PDF of a report with its signatures; the one that is kept already stays.

    Called by the job that makes it, for the person who finished the report. Raises Refused.
    """
    draft = ReportDraft.objects.get(pk=draft_id)
    case = case_for_update(draft.case_id)
    there: SignedPdf | None = SignedPdf.objects.filter(draft=draft).first()
    if there is not None:
        return there
    kept = keep_signed_pdf(actor, draft_id=draft_id, incoming=incoming, pages=pages, lines=lines)
    document = SignedDocument(
        pk=new_id(), case=case, report=kept, file=kept.file, pages=pages,
    )  # fmt: skip
    _keep(actor, document, made)
    return kept


@action
def keep_signed_addendum(
    actor: Staff, *, addendum_id: UUID, incoming: Incoming, pages: int, made: Made
) -> SignedDocument:
    """Keep the signed PDF of an addendum with its signatures; the one that is kept already stays.

    Called by the job that makes it, for the person who signed last. Raises Refused.
    """
    addendum = Addendum.objects.get(pk=addendum_id)
    case = case_for_update(addendum.case_id)
    there: SignedDocument | None = SignedDocument.objects.filter(addendum=addendum).first()
    if there is not None:
        return there
    file = store.publish(incoming, folder=store.DERIVED)
    document = SignedDocument(pk=new_id(), case=case, addendum=addendum, file=file, pages=pages)
    return _keep(actor, document, made)


def _keep(actor: Staff, document: SignedDocument, made: Made) -> SignedDocument:
    plan = made.plan
    _require_still_good(plan, made.put_at)
    document.sha256 = document.file.sha256
    document.code, document.recorded = plan.code, plan.recorded
    save_new(actor, document, own_key=True)
    for order, one in enumerate(plan.signs, start=1):
        stamped = made.stamped.get(one.role)
        level = "B-T" if stamped else "B-B"
        signature = Signature(
            pk=new_id(),
            case_id=document.case_id,
            document=document,
            order=order,
            role=one.role.value,
            signer=one.person,
            signed_as=one.signed_as,
            acted_at=one.acted_at,
            statement=one.statement,
            certificate=one.certificate,
            level=level if one.certificate else "",
            put_at=made.put_at if one.certificate else None,
            stamped_at=stamped,
        )
        save_new(actor, signature, own_key=True)
    return document


def _require_still_good(plan: Plan, at: datetime) -> None:
    """Refuse what was signed with a certificate that was revoked meanwhile. Raises Refused."""
    wanted = [one.certificate.pk for one in plan.signs if one.certificate]
    rows = Certificate.objects.select_for_update().filter(pk__in=wanted).order_by("pk")
    if any(not is_good(one, at) or one.revoked_at is not None for one in rows):
        raise Refused("A certificate was revoked while the file was made. It is made again.")
