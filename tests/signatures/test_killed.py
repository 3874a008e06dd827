"""A worker that is killed while it signs; by itself, as others' rows are not seen from outside."""

from __future__ import annotations

import signal

import pytest

from cases.packets import tasks
from cases.review.models import SignedPdf
from cases.signatures.models import Signature
from evidence.store.models import StoredFile
from tests.apart import Apart
from tests.jobs.killed import die_at
from tests.packets.builders import signed_case
from tests.packets.numbered import bytes_of
from tests.signatures.builders import certified
from tests.signatures.making import plainly_checked

WORK = "cases.packets.signed_report.signed_report"
STAGES = ["sign", "keep"]


@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("processes")
def test_killed_at_any_stage_it_is_signed_and_kept_once_by_whoever_comes_next():
    case = signed_case()
    certified(case)
    draft = case.report.drafts.get()
    files = StoredFile.objects.count()
    for stage in STAGES:
        assert Apart(die_at, stage, WORK, case.pk).wait() == -signal.SIGKILL
        assert StoredFile.objects.count() == files and not Signature.objects.exists()
    for _ in range(2):
        assert tasks.keep_signed_report(draft_id=str(draft.pk)) == "made"
    assert (SignedPdf.objects.count(), Signature.objects.count()) == (1, 2)
    assert len(plainly_checked(bytes_of(SignedPdf.objects.get()))) == 2
