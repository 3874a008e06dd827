"""The custody of every item, as values and as rows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any

from django.conf import settings

from evidence.custody.models import Seal, Transfer
from evidence.custody.queries import ItemCustody, Moment


def _local(at: datetime | None) -> str:
    return at.astimezone(settings.OFFICE_ZONE).isoformat(timespec="seconds") if at else ""


def custody_values(custody: Sequence[ItemCustody]) -> list[dict[str, Any]]:
    """Return every item with its seals, its transfers, what was withdrawn, and every gap."""
    return [
        {
            "item": one.item.number,
            "kind": one.item.kind,
            "title": one.item.title,
            "in_item": one.item.container.number if one.item.container else None,
            "kit_correction": one.item.kit_correction or None,
            "withdrawn": one.item.void_reason or None,
            "collected_at": _local(one.item.collected_at) or None,
            "collected_by": str(one.item.collected_by or "") or None,
            "taken_by_others": _origin(one) or None,
            "held_by": one.chain.holder,
            "unbroken": one.chain.unbroken,
            "gaps": list(one.chain.gaps),
            "moments": [dict(zip(COLUMNS[3:], _line(line), strict=True)) for line in one.moments],
            "withdrawn_entries": [
                {"entry": str(entry), "reason": entry.void_reason, "at": _local(entry.voided_at)}
                for entry in one.withdrawn
            ],
        }
        for one in custody
    ]


def _origin(one: ItemCustody) -> str:
    return one.item.specimen.origin_words if one.item.kind == "specimen" else ""


COLUMNS = ["item", "kind", "title", "at", "what", "from", "to", "place", "purpose", "seal", "note"]


def custody_rows(custody: Iterable[ItemCustody]) -> Iterator[list[str]]:
    """Yield the custody record as rows, each seal and transfer one line."""
    yield [column.capitalize() for column in COLUMNS]
    for one in custody:
        if one.item.container is not None:
            within = f"in item {one.item.container.number}"
            blanks = [""] * (len(COLUMNS) - 6)
            named = [str(one.item.number), one.item.kind, one.item.title]
            yield [*named, "", within, *blanks, one.item.kit_correction]
            continue
        if one.item.kit_correction:
            blanks = [""] * (len(COLUMNS) - 6)
            named = [str(one.item.number), one.item.kind, one.item.title]
            yield [*named, "", "corrected", *blanks, one.item.kit_correction]
        for line in one.moments:
            yield [str(one.item.number), one.item.kind, one.item.title, *_line(line)]


def _digest_words(digest: Seal | None) -> str:
    return f"SHA-256 {digest.number}, entered by {digest.applied_by}" if digest else ""


def _line(line: Moment) -> list[str]:
    record = line.record
    if isinstance(record, Transfer):
        return [
            _local(line.at),
            "transfer",
            record.from_party,
            record.to_party,
            record.place,
            record.purpose,
            record.seal_state,
            " ".join(part for part in (record.note, _digest_words(line.digest)) if part),
        ]
    if not isinstance(record, Seal):
        raise TypeError(f"Not a line of custody: {line.kind}")
    broken = line.kind == "seal broken"
    who, why = (record.broken_by, record.broken_why) if broken else (record.applied_by, "")
    return [_local(line.at), line.kind, who, "", "", why, record.number, ""]


def short_digest(digest: str) -> str:
    """Return the first letters of a digest, as a table has room for them."""
    return f"SHA-256 {digest[:12]}…"


def correction(item: Any) -> str:
    """Say in which kit a part was recorded wrongly, in sentences."""
    lines = item.kit_correction.splitlines()
    return " ".join(line if line.endswith((".", "!", "?")) else f"{line}." for line in lines)
