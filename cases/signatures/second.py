"""A second pathologist signs an addendum or amendment, where the office asks for it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from cases import access
from cases.access import Act
from cases.queries import case_for_update
from cases.review.models import Addendum, ReviewDecision
from cases.review.rules import digest_of
from cases.signatures.models import SecondSignature, SignedDocument
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import NotAllowed, Refused, known
from me_office.audit.records import recorded_as, save_new
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import MAX_ATTEMPTS

KEEP_TASK = "cases.packets.tasks.keep_signed_addendum"
# Unasked, only of what was added in a quarter, as of reports.
UNASKED_FOR = timedelta(days=90)
AT_ONCE = 20
NOT_ASKED = "This office asks for no second signature on addenda and amendments."
OWN_WORK = "You wrote this. Another pathologist signs it as second."
SIGNED_ALREADY = "This is signed by a second pathologist already."
NOT_WHAT_WAS_READ = "This is not the text that you read. Read it again, then sign."


@action
def sign_second(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    addendum_id: UUID,
    sha256: str,
    reason: str = "",
) -> SecondSignature:
    """Sign an addendum or amendment as second pathologist; nobody does so with their own.

    `sha256` is the digest of what was read. Raises NotAllowed, NotKnown, Refused, Conflict.
    """
    case = case_for_update(case_id)
    access.require_at_all(actor, Act.SIGN_SECOND, case)
    made = SecondSignature.objects.filter(pk=record_id, case=case).first()
    if made is not None:
        return recorded_as(made, addendum_id=addendum_id, sha256=sha256, signed_by_id=actor.pk)
    access.require(actor, Act.SIGN_SECOND, case)
    addendum = known(Addendum.objects.filter(pk=addendum_id, case=case).first(), "addendum")
    if not settings.SECOND_SIGNATURE:
        raise Refused(NOT_ASKED)
    if addendum.made_by_id == actor.pk:
        raise NotAllowed(OWN_WORK)
    if SecondSignature.objects.filter(addendum=addendum).exists():
        raise Refused(SIGNED_ALREADY)
    if SignedDocument.objects.filter(addendum=addendum).exists():
        raise Refused("Its signed PDF is made already.")
    if digest_of(content_of(addendum)) != sha256:
        raise Refused(NOT_WHAT_WAS_READ)
    return save_new(
        actor,
        SecondSignature(
            pk=record_id,
            case=case,
            addendum=addendum,
            sha256=sha256,
            signed_at=timezone.now(),
            signed_by=actor,
            signed_as=actor.printed_name,
        ),
        own_key=True,
    )


def content_of(addendum: Addendum) -> dict[str, Any]:
    """Return what is signed of an addendum, as plain values; attached to its PDF."""
    return {
        "kind": addendum.kind,
        "number": addendum.number,
        "amends": addendum.amends,
        "text": addendum.text,
        "why": addendum.why,
        "made_at": addendum.made_at.isoformat(),
        "made_by": addendum.signed_as or addendum.made_by.printed_name,
        "rests_on": str(addendum.rests_on) if addendum.rests_on else "",
        "passages": [
            {"lead": one.lead, "was": one.was, "now": one.now} for one in addendum.passages.all()
        ],
    }


def _unkept() -> QuerySet[Addendum]:
    rows = Addendum.objects.active().filter(document=None)
    return rows.filter(second_signature__isnull=False) if settings.SECOND_SIGNATURE else rows


def addenda_without_pdf() -> QuerySet[Addendum]:
    """Return late addenda whose signed PDF is to be made; none that waits for somebody."""
    given_up = JobProgress.objects.filter(key=OuterRef("pk"), attempts__gte=MAX_ATTEMPTS)
    lately = _unkept().filter(made_at__gt=timezone.now() - UNASKED_FOR)
    return lately.exclude(Exists(given_up)).order_by("made_at", "id")[:AT_ONCE]


def to_keep(case_id: UUID) -> list[Addendum]:
    """Return the addenda of a case whose signed PDF can be made now."""
    return list(_unkept().filter(case_id=case_id).order_by("number"))


def being_made(case_id: UUID) -> list[str]:
    """Return what of a case is signed and has no PDF yet, in words; two statements."""
    unkept = [str(one).capitalize() for one in to_keep(case_id)]
    signed = ReviewDecision.objects.filter(draft__case_id=case_id).exclude(outcome="returned")
    report = signed.filter(draft__signed_pdf=None).exists()
    return [*(["Report"] if report else []), *unkept]


def waiting_everywhere() -> QuerySet[Addendum]:
    """Return the addenda that wait for a second signature, the oldest first; none where not asked.

    Only of what was added in a quarter: whatever is older, its case's page says.
    """
    if not settings.SECOND_SIGNATURE:
        return Addendum.objects.none()
    rows: QuerySet[Addendum] = Addendum.objects.active().filter(
        second_signature=None, document=None, made_at__gt=timezone.now() - UNASKED_FOR
    )
    return rows.select_related("made_by", "case__decedent").order_by("made_at", "id")


def waiting_for_second(case_id: UUID) -> list[Addendum]:
    """Return the addenda of a case that wait for a second signature, in their order."""
    if not settings.SECOND_SIGNATURE:
        return []
    rows = Addendum.objects.active().filter(case_id=case_id, second_signature=None, document=None)
    return list(
        rows.select_related("made_by", "rests_on").prefetch_related("passages").order_by("number")
    )
