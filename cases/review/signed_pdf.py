"""The PDF of what was signed: kept once, by a job after the signature or when first needed."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet
from django.utils import timezone

from cases.queries import case_for_update
from cases.review.lines import Lines
from cases.review.models import ReportDraft, SignedPdf
from evidence import store
from evidence.store import Incoming
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.records import save_new
from me_office.jobs import own_work, sending
from me_office.jobs.models import JobProgress
from me_office.jobs.rules import MAX_ATTEMPTS

KEEP_TASK = "cases.packets.tasks.keep_signed_report"
# Unasked, only of what was signed in a quarter: years of reports would take days to print.
UNASKED_FOR = timedelta(days=90)
# Asked for again when no worker has answered in this time.
PATIENCE = timedelta(minutes=2)
AT_ONCE = 20
# What failed each time is tried anew where somebody asks after this: its cause may have passed.
TRY_AGAIN_AFTER = timedelta(hours=1)


@action
def keep_signed_pdf(
    actor: Staff, *, draft_id: UUID, incoming: Incoming, pages: int, lines: Mapping[str, Lines]
) -> SignedPdf:
    """Keep the PDF of a signed draft; the one that is kept already stays.

    Called by the job that makes it, for the person who signed.
    """
    draft = ReportDraft.objects.get(pk=draft_id)
    case = case_for_update(draft.case_id)
    there: SignedPdf | None = SignedPdf.objects.filter(draft=draft).first()
    if there is not None:
        return there
    file = store.publish(incoming, folder=store.DERIVED)
    kept = {key: place.kept() for key, place in lines.items()}
    made = SignedPdf(case=case, draft=draft, file=file, pages=pages, lines=kept)
    return save_new(actor, made, own_key=True)


def _signed_without() -> QuerySet[ReportDraft]:
    rows: QuerySet[ReportDraft] = ReportDraft.objects.filter(signed_pdf=None)
    return rows.filter(decision__outcome__in=("signed", "outside", "waived"))


def _lately() -> QuerySet[ReportDraft]:
    return _signed_without().filter(decision__decided_at__gt=timezone.now() - UNASKED_FOR)


def _given_up() -> Exists:
    return Exists(JobProgress.objects.filter(key=OuterRef("pk"), attempts__gte=MAX_ATTEMPTS))


def signed_without_pdf() -> QuerySet[ReportDraft]:
    """Return the drafts that were signed lately and whose PDF is still to be made."""
    return _lately().exclude(_given_up()).order_by("submitted_at", "id")[:AT_ONCE]


def never_printed() -> int:
    """Count the drafts that were signed lately and whose PDF failed each time it was tried."""
    return _lately().filter(_given_up()).count()


def signed_pdf_of(case_id: UUID) -> SignedPdf | None:
    """Return the kept PDF of the signed report with its file, or None."""
    found: SignedPdf | None = (
        SignedPdf.objects.filter(case=case_id).select_related("file", "draft").first()
    )
    return found


def ask_for_signed_pdf(case_id: UUID) -> bool:
    """Ask a worker for the PDF of a signed report that has none, unless one is asked already.

    Tells whether it is to come: not where it failed each time, and lately.
    """
    draft = _signed_without().filter(case_id=case_id).first()
    if draft is None or own_work.is_given_up(draft.pk, for_good_after=TRY_AGAIN_AFTER):
        return False
    if own_work.is_given_up(draft.pk):
        own_work.forget(draft.pk)
    if own_work.due_to_send(draft.pk, patience=PATIENCE) and not sending.send(
        KEEP_TASK, draft_id=str(draft.pk)
    ):
        own_work.not_sent(draft.pk)
    return True
