"""The photograph log and the log of redactions of a packet, as values and as rows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django.conf import settings

from cases.packets.material import Material
from cases.packets.outgoing import OutgoingPhotograph
from evidence.photographs.queries import PacketPhotograph


def scale_in_picture(one: PacketPhotograph) -> str:
    """Say whether a scale is in the picture."""
    return "with scale" if one.photograph.with_scale else "without scale"


def log_values(material: Material, sent: Sequence[OutgoingPhotograph]) -> dict[str, Any]:
    """Return every photograph with its line in the log and the form in which it goes out."""
    return {
        "photographs": [_value(each) for each in sent],
        "withdrawn": [
            {"number": one.number, "reason": one.void_reason, "at": one.voided_at}
            for one in material.withdrawn_photographs
        ],
    }


def _value(sent: OutgoingPhotograph) -> dict[str, Any]:
    photograph = sent.one.photograph
    return {
        "number": photograph.number,
        "file": sent.path or None,
        # The name that programs which read packets know.
        "sent_as": sent.form.value,
        "why": sent.why or None,
        "made": sent.made or None,
        "sha256": sent.one.sha256,
        "sent_sha256": sent.sha256 or None,
        "sent_bytes": sent.size_bytes or None,
        "bytes": sent.one.size_bytes,
        "type": sent.one.media_type,
        "original_name": photograph.original_name,
        "taken_at": photograph.taken_at,
        "photographer": photograph.photographer,
        "place": photograph.place,
        "view": photograph.view,
        "with_scale": photograph.with_scale,
        "region": photograph.region,
        "shows": photograph.shows,
        "findings": [finding.number for finding in sent.one.findings],
        "outlines": [
            {"finding": link.finding.number, "points": link.outline}
            for link in photograph.active_links
            if link.outline
        ],
    }


def log_rows(sent: Iterable[OutgoingPhotograph]) -> Iterator[list[str]]:
    """Yield the same as rows."""
    yield ["Number", "File", "Sent as", "Why", "SHA-256", "SHA-256 of what is sent", "Taken",
           "Photographer", "Place", "View", "Scale", "Region", "Shows", "Findings",
           "How made"]  # fmt: skip
    for each in sent:
        photograph, taken = each.one.photograph, each.one.photograph.taken_at
        yield [
            str(photograph.number),
            each.path,
            each.form.value,
            each.why,
            each.one.sha256,
            each.sha256,
            taken.astimezone(settings.OFFICE_ZONE).isoformat(timespec="minutes") if taken else "",
            photograph.photographer,
            photograph.place,
            photograph.view,
            scale_in_picture(each.one),
            photograph.region,
            photograph.shows,
            ", ".join(str(finding.number) for finding in each.one.findings),
            each.made,
        ]


def redaction_values(sent: Iterable[OutgoingPhotograph]) -> list[dict[str, Any]]:
    """Return what was hidden in what is sent: where, how, by whom and why."""
    return [
        {
            "photograph": each.one.photograph.number,
            "file": each.path,
            "sha256": each.sha256,
            "original_sha256": each.redaction.parent_sha256,
            "why": each.redaction.why,
            "by": each.redaction.created_by.printed_name,
            "at": each.redaction.created_at,
            "regions": each.redaction.regions,
            "operations": each.redaction.operations,
            "software": each.redaction.software,
        }
        for each in sent
        if each.is_redacted and each.redaction
    ]


def redaction_rows(sent: Iterable[OutgoingPhotograph]) -> Iterator[list[str]]:
    """Yield the same as rows."""
    yield ["Photograph", "File", "SHA-256", "SHA-256 of the original", "Why", "By", "At", "How"]
    for value in redaction_values(sent):
        at = value["at"].astimezone(settings.OFFICE_ZONE).isoformat(timespec="minutes")
        yield [
            str(value["photograph"]),
            value["file"],
            value["sha256"],
            value["original_sha256"],
            value["why"],
            value["by"],
            at,
            "; ".join(value["operations"]),
        ]
