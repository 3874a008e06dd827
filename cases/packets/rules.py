"""In which form a photograph goes out, and what a packet prints. No database, no clock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from me_office.statements import COMMON_PRACTICE, statement

RELEASE_LAW = statement(
    "release.law",
    "What may be released, and to whom, is governed by local law. Ask counsel where the request "
    "goes further than the law.",
    where="Report and packets",
    source=COMMON_PRACTICE,
)
RELEASE_PICTURES = statement(
    "release.pictures",
    "Whether this may be released, and to whom, is governed by local law. The packet may hold "
    "pictures of a dead person and facts about living ones.",
    where="Release",
    source=COMMON_PRACTICE,
)


class ReleasedAs(StrEnum):
    """In which form a photograph goes out."""

    ORIGINAL = "original"
    REDACTED = "redacted copy"
    COPY = "copy without metadata"
    NOT_SENT = "not sent"


def released_as(
    *, with_photographs: bool, camera_notes: bool, redacted: bool, original_wanted: bool
) -> ReleasedAs:
    """Decide in which form a photograph goes out.

    Where a redacted copy stands it goes out, unless a person chose the original by name.
    """
    if not with_photographs:
        return ReleasedAs.NOT_SENT
    if redacted and not original_wanted:
        return ReleasedAs.REDACTED
    return ReleasedAs.ORIGINAL if camera_notes else ReleasedAs.COPY


@dataclass(frozen=True)
class Holds:
    """What decides about what a packet holds; photographs, addenda and results by their numbers."""

    addenda: tuple[tuple[str, int], ...] = ()
    # Results that came after the signature and that no later one has replaced: the report prints
    # them; those of before are in what was signed.
    late_results: tuple[int, ...] = ()
    photographs: tuple[int, ...] = ()
    redactions: Mapping[int, str] = field(default_factory=dict)
    # A redacted copy is asked for and not kept yet.
    to_be_hidden: tuple[int, ...] = ()


def what_changed(
    built: Holds, now: Holds, *, with_photographs: bool, originals: frozenset[int] = frozenset()
) -> list[str]:
    """Return, in sentences, what would go out otherwise today; nothing when nothing would.

    `originals` are sent as they are whatever is hidden: a person chose them by name.
    """
    said = []
    for kind, number in sorted(set(built.addenda) ^ set(now.addenda), key=lambda one: one[1]):
        became = "added" if (kind, number) in now.addenda else "withdrawn"
        said.append(f"{kind.capitalize()} {number} was {became}.")
    for number in sorted(set(built.late_results) ^ set(now.late_results)):
        became = "recorded" if number in now.late_results else "replaced"
        said.append(f"Result {number} was {became}.")
    if not with_photographs:
        return said
    for number in sorted({*built.photographs, *now.photographs}):
        if number not in now.photographs:
            said.append(f"Photograph {number} was withdrawn.")
        elif number not in built.photographs:
            said.append(f"Photograph {number} was added.")
        elif number in originals:
            continue
        elif number in now.to_be_hidden:
            said.append(f"A redacted copy of photograph {number} was requested.")
        elif built.redactions.get(number) != now.redactions.get(number):
            taken_back = number not in now.redactions
            made = "was withdrawn" if taken_back else "was made"
            said.append(f"A redacted copy of photograph {number} {made}.")
    return said


_NAME_PARTS = {ReleasedAs.REDACTED: "redacted-", ReleasedAs.COPY: "copy-"}


def photograph_name(
    number: int, sha256: str, extension: str, form: ReleasedAs = ReleasedAs.ORIGINAL
) -> str:
    """Return a photograph's file name in a packet: P-007-<first 12 of its digest>.jpg."""
    return f"P-{number:03d}-{_NAME_PARTS.get(form, '')}{sha256[:12]}.{extension}"


def number_ranges(numbers: list[int]) -> list[list[int]]:
    """Return numbers as runs of first and last: 1, 2, 3, 7 -> [[1, 3], [7, 7]]."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return runs
