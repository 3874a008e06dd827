"""A worker that is killed while it signs; by itself, as others' rows are not seen from outside."""

from __future__ import annotations

import os
import signal

import pytest

from cases.packets import tasks
from cases.packets.signed_report import signed_report
from cases.review.models import SignedPdf
from cases.signatures.models import Signature
from evidence.store.models import StoredFile
from tests.apart import Apart
from tests.packets.builders import signed_case
from tests.packets.numbered import bytes_of
from tests.signatures.builders import certified
from tests.signatures.making import plainly_checked

STAGES = ["sign", "keep"]


def die_at(stage: str, case_id) -> None:
    """Make the report up to a stage, and end there as in a power cut."""

    def reached(now: str) -> None:
        if now == stage:
            os.kill(os.getpid(), signal.SIGKILL)

    signed_report(case_id, reached=reached)


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("processes")
def test_killed_at_any_stage_it_is_signed_and_kept_once_by_whoever_comes_next():
    case = signed_case()
    certified(case)
    draft = case.report.drafts.get()
    files = StoredFile.objects.count()
    for stage in STAGES:
        assert Apart(die_at, stage, case.pk).wait() == -signal.SIGKILL
        assert StoredFile.objects.count() == files and not Signature.objects.exists()
    for _ in range(2):
        assert tasks.keep_signed_report(draft_id=str(draft.pk)) == "made"
    assert (SignedPdf.objects.count(), Signature.objects.count()) == (1, 2)
    assert len(plainly_checked(bytes_of(SignedPdf.objects.get()))) == 2
