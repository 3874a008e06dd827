"""What packets sent before, told to whoever decides what goes out now."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from cases.court.models import Release
from cases.decisions.items import register_sent
from cases.decisions.proposal_rules import Earlier
from cases.decisions.rules import ItemKind
from cases.models import Case
from cases.packets.models import Packet
from cases.review.models import Addendum, Report
from evidence.photographs.models import Photograph
from me_office.shell.templatetags.office import day


def sent_with_packets(cases: Sequence[Case]) -> list[Earlier]:
    """Return what the released packets of cases held, the earliest first; at most five statements.

    A photograph that went out as a redacted copy is told apart from one that went out as it is.
    """
    releases = list(Release.objects.active().filter(case__in=cases).order_by("released_at", "id"))
    if not releases:
        return []
    keys = [one.packet_id for one in releases]
    packets = {one.pk: one for one in Packet.objects.filter(pk__in=keys)}
    numbered = _numbered(cases)
    found = []
    for release in releases:
        packet = packets.get(release.packet_id)
        if packet is None:
            continue
        words = f"sent on {day(release.released_at)} to {release.released_to}, {packet}".replace(
            "Packet", "packet"
        )
        whole, redacted = _held(packet, numbered)
        found.append(Earlier(str(release.pk), words, whole))
        if redacted:
            found.append(Earlier(str(release.pk), f"{words}, as a redacted copy", redacted))
    return found


def _numbered(cases: Sequence[Case]) -> dict[tuple[Any, ...], str]:
    """Return the keys of reports, addenda and photographs by case and number."""
    found: dict[tuple[Any, ...], str] = {}
    for case_id, key in Report.objects.filter(case__in=cases).values_list("case_id", "pk"):
        found[case_id, "report"] = str(key)
    addenda = Addendum.objects.filter(case__in=cases)
    for case_id, kind, number, key in addenda.values_list("case_id", "kind", "number", "pk"):
        found[case_id, kind, number] = str(key)
    photographs = Photograph.objects.filter(case__in=cases)
    for case_id, number, key in photographs.values_list("case_id", "number", "pk"):
        found[case_id, "photograph", number] = str(key)
    return found


def _held(
    packet: Packet, numbered: dict[tuple[Any, ...], str]
) -> tuple[frozenset[tuple[str, str]], frozenset[tuple[str, str]]]:
    """Return what a packet held as it is, and what as a redacted copy."""
    held: dict[str, Any] = packet.holds or {}
    of: UUID = packet.case_id
    whole = {(ItemKind.REPORT.value, numbered.get((of, "report"), ""))}
    for kind, number in held.get("addenda", ()):
        whole.add((ItemKind.ADDENDUM.value, numbered.get((of, kind, number), "")))
    covered = {int(number) for number in held.get("redactions", {})}
    redacted: set[tuple[str, str]] = set()
    for number in held.get("photographs", ()) if packet.with_photographs else ():
        key = numbered.get((of, "photograph", number), "")
        as_original = key in packet.originals or number not in covered
        (whole if as_original else redacted).add((ItemKind.PHOTOGRAPH.value, key))
    return (
        frozenset(one for one in whole if one[1]),
        frozenset(one for one in redacted if one[1]),
    )


register_sent("packets", sent_with_packets)
