"""The custody of every item, as values, as rows and as the report prints it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any

from django.conf import settings
from django.utils.text import capfirst

from evidence.custody.models import Seal, Transfer
from evidence.custody.queries import ItemCustody, Moment
from me_office.moments import clock_words

CUSTODY_GROUPS = {
    "photograph": "Photographs",
    "specimen": "Specimens",
    "kit": "Kits and trays",
    "evidence": "Evidence",
    "property": "Personal effects of the decedent",
}


def _local(at: datetime | None) -> str:
    return at.astimezone(settings.OFFICE_ZONE).isoformat(timespec="seconds") if at else ""


def custody_values(custody: Sequence[ItemCustody]) -> list[dict[str, object]]:
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


def when_words(at: datetime | None) -> str:
    """Say a moment in office time with its year; the page names the zone once."""
    return clock_words(at, "%d %b %Y, %H:%M", settings.OFFICE_ZONE) if at else ""


def custody_groups(custody: Sequence[ItemCustody]) -> list[dict[str, Any]]:
    """Return the custody of items by what they are kept as: evidence apart from effects."""
    groups = [
        {"title": title, "items": [_custody(one) for one in custody if one.item.kind == kind]}
        for kind, title in CUSTODY_GROUPS.items()
    ]
    return [group for group in groups if group["items"]]


def _custody(one: ItemCustody) -> dict[str, object]:
    item, chain = one.item, one.chain
    if item.container is not None and not item.is_voided:
        within = f"In item {item.container.number}; its custody is that item's."
        words = f"{within} {correction(item)}".rstrip()
        return {
            "title": f"Item {item.number}, {item.title}",
            "words": words,
            "gap": False,
            "rows": [],
        }
    if item.is_voided:
        words = f"Withdrawn: {item.void_reason}"
    elif chain.unbroken:
        since = when_words(chain.since)
        words = f"No gap in the recorded custody; held by {chain.holder} since {since}."
    else:
        words = "Gap: " + " ".join(chain.gaps)
    words = f"{words} {correction(item)}".rstrip()
    if item.kind == "specimen" and item.specimen.is_of_others:
        words = f"{capfirst(item.specimen.origin_words)}. {words}"
    return {
        "title": f"Item {item.number}, {item.title}",
        "words": words,
        "gap": not item.is_voided and not chain.unbroken,
        "rows": [_custody_row(line) for line in one.moments],
    }


def _custody_row(line: Moment) -> list[str]:
    record = line.record
    if isinstance(record, Transfer):
        note = f" {record.note}" if record.note else ""
        seal = {"none": "no seal"}.get(record.seal_state, f"seal {record.seal_state}")
        if line.digest:
            seal = short_digest(line.digest.number)
            if line.digest.applied_by != record.from_party:
                note = f"{note} Entered by {line.digest.applied_by}."
        return [
            when_words(line.at),
            f"{record.from_party} to {record.to_party}",
            record.place,
            f"{record.purpose}.{note}",
            seal,
        ]
    if not isinstance(record, Seal):
        raise TypeError(f"Not a line of custody: {line.kind}")
    if line.kind == "seal broken":
        return [when_words(line.at), record.broken_by, "", record.broken_why, "seal broken"]
    digest = record.kind == "digest"
    number = short_digest(record.number) if digest else f"seal {record.number}"
    return [when_words(line.at), record.applied_by, "", "sealed", number]
