"""What packets add to the worklists: what is due, and what waits for a clerk."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.urls import reverse
from django.utils import timezone

from cases import worklists
from cases.court.models import RecordsRequest
from cases.packets import queries
from cases.packets.models import Packet
from cases.worklists import Section, Waiting
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.jobs.rules import JobState

CLERKS = frozenset({Role.RECORDS_CLERK})


def request_title(asked: RecordsRequest) -> str:
    """Name a request in a list: Subpoena, Circuit Court, cause 26-CF-0117."""
    words = [asked.get_kind_display().capitalize(), asked.court or asked.party]
    if asked.cause_number:
        words.append(f"cause {asked.cause_number}")
    return ", ".join(word for word in words if word)


def _short(text: str, most: int = 90) -> str:
    # Another clause follows it in the row.
    line = " ".join(text.split()).removesuffix(".")
    return line if len(line) <= most else f"{line[: most - 1].rstrip()}…"


def _wanted(asked: Any) -> str:
    if asked.left_to_send:
        return f"answered in part; still to be sent: {_short(asked.left_to_send)}"
    return f"asks for: {_short(asked.asks_for)}"


def _due_row(asked: RecordsRequest, now: datetime) -> Waiting:
    due = asked.due_at(timezone.localtime(now).date())
    state = "" if asked.case.is_locked else f"; the case is {asked.case.state_words}"
    return Waiting(
        number=asked.case.label,
        title=request_title(asked),
        detail=f"{_wanted(asked)}{state}",
        when=due.words,
        url=reverse("court:request", args=[asked.case_id, asked.pk]),
        urgency=due.urgency,
    )


def _due(actor: Staff, now: datetime) -> list[Waiting]:
    rows = queries.requests_without_packet(actor, most=worklists.LIMIT)
    return [_due_row(asked, now) for asked in rows]


def _packet_row(packet: Packet, now: datetime) -> Waiting:
    due = packet.request.due_at(timezone.localtime(now).date())
    failed = packet.state == JobState.FAILED
    holds = f"{packet.pages} pages, {packet.photographs} photographs"
    return Waiting(
        number=packet.case.label,
        title=f"Packet {packet.number} was not built" if failed else "Release packet is built",
        detail=packet.failure.partition(". ")[0]
        if failed
        else f"{holds}; {request_title(packet.request)}",
        when=due.words,
        url=reverse("packets:packets", kwargs={"case_id": packet.case_id}) + f"#packet-{packet.pk}",
        urgency=due.urgency or ("attention" if failed else ""),
    )


def _to_release(actor: Staff, now: datetime) -> list[Waiting]:
    rows = queries.packets_to_release(actor, most=worklists.LIMIT)
    return [_packet_row(packet, now) for packet in rows]


worklists.register(
    Section(
        "requests-due",
        "Due",
        CLERKS,
        10,
        _due,
        empty="No requests are waiting for an answer.",
    )
)
worklists.register(
    Section(
        "packets-to-release",
        "Packets to release",
        CLERKS,
        20,
        _to_release,
    )
)
