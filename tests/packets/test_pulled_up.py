"""Packets of an office begun before they were jobs like all others are the same afterwards."""

from __future__ import annotations

import re
from importlib import import_module

import pytest
from django.db import connection
from django.urls import reverse

from cases.packets import actions, tasks
from cases.packets.models import Packet
from me_office.audit.models import AuditEvent
from me_office.jobs import queries, sending
from tests.builders import make_case
from tests.packets.builders import make_clerk, packet_for
from tests.packets.test_pages import finish

migration = import_module("cases.packets.migrations.0003_packets_are_jobs")
# As that office kept how far its packets were.
PROGRESS_BEFORE = """
CREATE TABLE packets_packetprogress (
  packet_id uuid PRIMARY KEY, percent smallint, step varchar(120), beat_at timestamptz);
INSERT INTO packets_packetprogress
SELECT key, percent, step, now() - interval '1 hour' FROM jobs_jobprogress;
DELETE FROM jobs_jobprogress;
"""


def run(*statements: str) -> None:
    with connection.cursor() as cursor:
        for statement in ("SET CONSTRAINTS ALL IMMEDIATE", *statements):
            cursor.execute(statement)


@pytest.mark.django_db
def test_packets_in_every_state_go_on_where_they_stood(client, monkeypatch):
    clerk = make_clerk()
    case = make_case(state="signed")
    packets = {
        state: packet_for(case, clerk) for state in ("waiting", "building", "built", "failed")
    }
    keys = {state: packet.pk for state, packet in packets.items()}
    actions.begin_packet(clerk, packet_id=keys["building"])
    finish(packets["built"], clerk)
    actions.begin_packet(clerk, packet_id=keys["failed"])
    actions.fail_packet(clerk, packet_id=keys["failed"], attempt=1, failure="The disk is full.")
    client.force_login(clerk)
    page = reverse("packets:packets", kwargs={"case_id": case.pk})

    def shown() -> str:
        text = client.get(page).content.decode()
        return text[text.index("<main") : text.index("</main")]

    before, events = shown(), AuditEvent.objects.count()
    rows = list(Packet.objects.order_by("number").values())
    run(migration.BACK, PROGRESS_BEFORE)
    assert list(Packet.objects.order_by("number").values_list("state", flat=True)) == list(keys)

    run(migration.SAME_STATE, migration.SAME_PROGRESS)
    assert list(Packet.objects.order_by("number").values()) == rows
    assert AuditEvent.objects.count() == events
    assert without_keys(shown()) == without_keys(before)

    # What was under way is taken up again, what failed can be tried again, what is built stays.
    sent = []
    monkeypatch.setattr(sending, "send", lambda task, **named: not sent.append(named["request_id"]))
    monkeypatch.setattr(queries, "is_idle", lambda queue: True)
    assert tasks.resume_packets() == 2
    assert set(sent) == {str(keys["waiting"]), str(keys["building"])}
    failed = Packet.objects.get(pk=keys["failed"])
    again = actions.retry_packet(
        clerk, case_id=case.pk, packet_id=failed.pk, version=failed.version
    )
    assert again.state == "waiting"
    assert tasks.build_packet(request_id=str(keys["built"])) == "nothing to do"


def without_keys(text: str) -> str:
    """Leave out what a form gets anew each time it is shown."""
    return re.sub(r'name="(?:csrfmiddlewaretoken|request_key|record_id)" value="[^"]*"', "", text)
