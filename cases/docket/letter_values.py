"""What decisions, releases and dates in court say for the fields of a letter."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from django.utils import timezone

from cases.appearances.models import Appearance
from cases.court.models import RecordsRequest, Release
from cases.decisions.models import ItemDecision
from cases.decisions.queries import Standing, standing_of
from cases.decisions.ready import items_as_decided
from cases.decisions.rules import ON_A_GROUND, ItemKind, Outcome, log_words
from cases.letters.merging import Incomplete
from cases.letters.values import Values, register
from me_office.accounts.models import Staff
from me_office.shell.templatetags.office import day, moment

MOST_LINES = 200


@register
def of_decisions(actor: Staff, asked: RecordsRequest) -> Values:
    """Return what goes out, is kept back, or does not exist, without disclosing more.

    Of the cases that the person may know of, as everything that they write, and of what demands
    reach now, as the log. Where that is not all, the letter keeps a gap. A fixed number of
    statements.
    """
    standing = standing_of(asked, actor)
    # Each once, in order: several demands may reach one item.
    lines: dict[Outcome, dict[str, None]] = defaultdict(dict)
    for row in standing.all_rows:
        if row.is_decided and row.decision is not None:
            lines[Outcome(row.decision.outcome)][_line(row.decision)] = None
    open_ones = sum(not row.is_decided for row in standing.all_rows)
    rest = rest_words(undecided=open_ones, closed_cases=standing.closed_cases)
    named = {
        "withheld list": Outcome.WITHHOLD,
        "redacted list": Outcome.REDACT,
        "missing list": Outcome.MISSING,
        "elsewhere list": Outcome.NOT_OURS,
    }
    told = {
        name: listed([*lines[outcome]], rest, in_log=outcome in ON_A_GROUND)
        for name, outcome in named.items()
    }
    # What goes out is told by what was decided: a letter that goes with an answer is made before it
    # is built, and cannot tell its pages or its digest.
    return {**told, "release.sent": listed(_going(standing), rest)}


def _line(one: ItemDecision) -> str:
    if one.ground is not None:
        # As in the log: its label may say what is kept back.
        named, _ = log_words(one.kind, one.number)
        return f"{named}: {one.ground.words} ({one.ground.citation})"
    named = one.number or one.label
    return f"{named}: {one.held_by}" if one.held_by else named


def rest_words(*, undecided: int, closed_cases: int) -> str:
    """Say what lists of decisions lack, or nothing."""
    lacks = []
    if undecided:
        lacks.append(f"what becomes of {undecided} item{'s' if undecided > 1 else ''} not decided")
    if closed_cases:
        lacks.append("what a member of the named team decided of a case that is open to it only")
    return "; ".join(lacks)


def listed(lines: Sequence[str], rest: str = "", *, in_log: bool = False) -> str:
    """Return a list, a line each; one too long for a letter says how many more there are."""
    told = list(lines[:MOST_LINES])
    more = len(lines) - len(told)
    if more:
        named = ", each named in the log of what is kept back" if in_log else ""
        told.append(f"and {more} more{named}")
    text = "\n".join(told)
    return Incomplete(text, rest) if text and rest else text


def _going(standing: Standing) -> list[str]:
    """Say what goes out as it is decided now: each document, then how many photographs."""
    out = [one for one in items_as_decided(standing) if one.goes_out]
    pictures = [one for one in out if one.kind is ItemKind.PHOTOGRAPH]
    lines = [
        # As in the answer: the label of what has parts covered may hold what its copy hides.
        f"{log_words(one.kind.value, one.number)[0]}, redacted"
        if one.outcome is Outcome.REDACT
        else f"{one.number} {one.label}".strip()
        for one in out
        if one.kind is not ItemKind.PHOTOGRAPH
    ]
    if pictures:
        covered = sum(one.outcome is Outcome.REDACT for one in pictures)
        words = "1 photograph" if len(pictures) == 1 else f"{len(pictures)} photographs"
        lines.append(f"{words}, {covered} redacted" if covered else words)
    return lines


@register
def of_releases(actor: Staff, asked: RecordsRequest) -> Values:
    """Return the latest release of the request, and the digest of what left with it."""
    release = Release.objects.active().filter(request=asked).order_by("-released_at", "-id").first()
    if release is None:
        return {}
    return {"release.day": day(release.released_at), "release.digest": release.packet_sha256}


@register
def of_dates_in_court(actor: Staff, asked: RecordsRequest) -> Values:
    """Return the next date in court under this request; one statement."""
    row = (
        Appearance.objects.active()
        .filter(request=asked, begins_at__gte=timezone.now(), state="expected")
        .select_related("witness")
        .order_by("begins_at", "id")
        .first()
    )
    if row is None:
        return {}
    return {
        "appearance.day": moment(row.begins_at),
        "appearance.kind": row.get_kind_display(),
        "appearance.place": row.place,
        "appearance.witness": row.witness.printed_name,
    }
