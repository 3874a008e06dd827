"""A date in court as pages print it: how near, what overlaps, what is not ready."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from cases.appearances.models import Appearance
from cases.appearances.readiness import Lack
from cases.appearances.rules import Near, near
from me_office.moments import local
from me_office.shell.templatetags.office import short_moment


@dataclass(frozen=True)
class AppearanceShown:
    """One date with what a page says of it."""

    row: Appearance
    near: Near
    over: bool
    lacks: Sequence[Lack]
    clashes: Sequence[str]


def show(
    row: Appearance, now: datetime, *, lacks: Sequence[Lack], clashes: Sequence[str]
) -> AppearanceShown:
    """Return a date as pages print it."""
    over = row.begins_at <= now
    ready = not lacks and not clashes
    words = near(local(row.begins_at), local(now), ready=ready) if row.is_ahead else Near(row.state)
    return AppearanceShown(row, words, over, [] if over else lacks, clashes)


def clash_words(others: Iterable[Appearance], known: Collection[UUID]) -> list[str]:
    """Say what else takes the same person; of a case that is not open to the reader only when."""
    return [_clash(one, named=one.case_id in known) for one in others]


def _clash(one: Appearance, *, named: bool) -> str:
    what = f"{one}, case {one.case.label}" if named else "Another date in court"
    length = f", {one.length_words}" if one.length_words else ", length not stated"
    leaves = f", leaves {short_moment(one.leave_at)}" if one.leave_at else ""
    return f"{what}: {short_moment(one.begins_at)}{length}{leaves}."
