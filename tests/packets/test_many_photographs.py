"""A packet of many photographs is built while it shows life, and no second worker takes it."""

from __future__ import annotations

import os
import tempfile

import pytest

from cases.packets import outgoing, tasks
from me_office.jobs.models import JobProgress
from tests.evidence.pictures import picture_bytes
from tests.packets.builders import (
    examined_case,
    make_clerk,
    make_people,
    packet_for,
    sign,
)
from tests.packets.test_killed import fall_silent, files_of

# PACKET_PHOTOGRAPHS=2000 for a case as large as they come.
MANY = int(os.environ.get("PACKET_PHOTOGRAPHS", "12"))


@pytest.mark.django_db(transaction=True)
def test_a_packet_of_many_photographs_shows_life_and_no_second_worker_takes_it(
    monkeypatch, tmp_path
):
    clerk, (vasko, thorne) = make_clerk(), make_people()
    case = examined_case(vasko, pictures=[picture_bytes(shade) for shade in range(MANY)])
    packet = packet_for(sign(case, vasko, thorne), clerk)
    write, shown = outgoing._write, []

    def slow(folder, sent):
        row = JobProgress.objects.get(key=packet.pk)
        shown.append((row.beat_at, row.percent, row.step))
        if len(shown) % (MANY // 4) == 0:
            # A step that takes longer than the longest silence, as everybody else sees it.
            fall_silent(packet)
            assert tasks.resume_packets() == 0
            assert tasks.build_packet(request_id=str(packet.pk)) == "nothing to do"
        return write(folder, sent)

    monkeypatch.setattr(outgoing, "_write", slow)
    # Nothing of it lies in the machine's temporary folder, which may be small.
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path / "is not there"))
    assert tasks.build_packet(request_id=str(packet.pk)) == "made"
    moments, percents, steps = zip(*shown, strict=True)
    assert len(shown) == len(set(moments)) == MANY
    assert list(moments) == sorted(moments)
    assert list(percents) == sorted(percents)
    assert steps[-1] == f"copies photographs, {MANY - 1} of {MANY}"
    packet.refresh_from_db()
    assert (packet.state, packet.attempts, len(files_of(packet))) == ("made", 1, 1)
