"""Packet jobs: making packets and the PDFs of signed reports, and taking up what was left lying."""

from __future__ import annotations

import logging
from collections.abc import Callable
from pathlib import Path
from uuid import UUID

from celery import shared_task

from cases.packets import actions
from cases.packets.build import build
from cases.packets.models import Packet
from cases.packets.signed_addendum import signed_addendum
from cases.packets.signed_report import signed_report
from cases.packets.store import remove_left_folders, work_folder
from cases.review.models import Addendum, ReportDraft
from cases.review.signed_pdf import KEEP_TASK, signed_without_pdf
from cases.signatures.keeping import NoTimeStamp
from cases.signatures.second import KEEP_TASK as KEEP_ADDENDUM
from cases.signatures.second import addenda_without_pdf
from evidence.store import StoreAway
from me_office.jobs import own_work, sending
from me_office.jobs.kinds import Kind
from me_office.jobs.running import Stage

log = logging.getLogger(__name__)
# 2,000 originals of 12 MB take a slow disk the better part of an hour.
LONGEST_SECONDS = 6 * 3600


def _make(packet: Packet, *, reached: Stage) -> None:
    attempt = packet.attempts
    with build(packet.pk, attempt, reached=reached) as made:
        actions.finish_packet(packet.created_by, packet_id=packet.pk, attempt=attempt, made=made)


PACKETS = Kind(Packet, actions.ATTEMPTS, _make, queue=sending.LONG)
make_requested = PACKETS.make_requested
build_packet, resume_packets = PACKETS.tasks(
    resume="cases.packets.tasks.resume_packets",
    soft_time_limit=LONGEST_SECONDS,
    time_limit=LONGEST_SECONDS + 300,
)


@shared_task
def keep_signed_report(*, draft_id: str) -> str:
    """Make the PDF of one signed report; run again, it changes nothing."""
    draft = ReportDraft.objects.filter(pk=draft_id, decision__isnull=False).first()
    if draft is None:
        return "gone"
    return _kept(draft.pk, "signed report", lambda work: signed_report(draft.case_id, place=work))


@shared_task
def keep_signed_addendum(*, addendum_id: str) -> str:
    """Make the signed PDF of one addendum or amendment; run again, it changes nothing."""
    one = Addendum.objects.active().filter(pk=addendum_id).first()
    if one is None:
        return "gone"
    return _kept(one.pk, "signed addendum", lambda work: signed_addendum(one.pk, place=work))


def _kept(key: UUID, what: str, make: Callable[[Path], object]) -> str:
    """Make a signed document inside an attempt, and say how it ended."""
    try:
        with own_work.attempt(key, f"prints the {what}") as number:
            remove_left_folders()
            with work_folder(key, number) as work:
                make(work)
    except own_work.UnderWay:
        return "under way"
    except own_work.GivenUp:
        log.error("Printing the %s %s failed each time", what, key)
        return "failed"
    except StoreAway:
        own_work.forget(key)
        log.error("No store for the %s %s", what, key)
        return "waits"
    except NoTimeStamp as error:
        # Its authority may answer in a minute: no attempt is counted, and nothing half is kept.
        own_work.forget(key)
        log.error("No time stamp for the %s %s: %s", what, key, error)
        return "waits"
    except Exception:
        # Named by its key alone: the log holds no case content.
        log.exception("The %s %s could not be printed", what, key)
        return "failed"
    return "made"


@shared_task
def keep_signed_reports() -> int:
    """Ask for the PDFs of what was signed lately and has none; return how many."""
    reports = own_work.send_waiting(KEEP_TASK, signed_without_pdf(), "draft_id")
    return reports + own_work.send_waiting(KEEP_ADDENDUM, addenda_without_pdf(), "addendum_id")
