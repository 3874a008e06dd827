"""What decisions, releases and dates in court say for the fields of a letter."""

from __future__ import annotations

from collections import defaultdict

from django.utils import timezone

from cases.access import cases_open_to
from cases.answers.models import Answer
from cases.appearances.models import Appearance
from cases.court.models import RecordsRequest, Release
from cases.decisions.models import ItemDecision
from cases.decisions.rules import log_words
from cases.letters.values import Values, register
from me_office.accounts.models import Staff
from me_office.shell.templatetags.office import day, moment

MOST_LINES = 200


@register
def of_decisions(actor: Staff, asked: RecordsRequest) -> Values:
    """Return what is kept back and what does not exist, without disclosing more; one statement.

    Of the cases that the person may know of, as everything that they write.
    """
    rows = (
        ItemDecision.objects.active()
        .filter(
            request=asked,
            case__in=cases_open_to(actor),
            outcome__in=["withhold", "redact", "missing", "not ours"],
        )
        .select_related("ground")
        .order_by("created_at", "id")[:MOST_LINES]
    )
    lines: dict[str, list[str]] = defaultdict(list)
    for one in rows:
        named = one.number or one.label
        if one.ground is not None:
            # As in the log: its label may say what is kept back.
            named, _ = log_words(one.kind, one.number)
            named = f"{named}: {one.ground.words} ({one.ground.citation})"
        elif one.held_by:
            named = f"{named}: {one.held_by}"
        lines[one.outcome].append(named)
    return {
        "withheld list": "\n".join(lines["withhold"]),
        "redacted list": "\n".join(lines["redact"]),
        "missing list": "\n".join(lines["missing"]),
        "elsewhere list": "\n".join(lines["not ours"]),
    }


@register
def of_releases(actor: Staff, asked: RecordsRequest) -> Values:
    """Return the latest release of the request, and what its latest answer holds."""
    answer = Answer.objects.active().filter(request=asked).exclude(path="").order_by("-number")
    release = Release.objects.active().filter(request=asked).order_by("-released_at", "-id").first()
    latest = answer.first()
    return {
        "release.day": day(release.released_at) if release else "",
        "release.sent": _held(latest) if latest else "",
    }


def _held(answer: Answer) -> str:
    """Say what an answer holds, a line each."""
    lines = [f"{answer.pages} numbered pages" if answer.pages else ""]
    lines.append(f"{answer.photographs} photographs" if answer.photographs else "")
    lines.append(f"SHA-256 of the whole: {answer.sha256}")
    return "\n".join(line for line in lines if line)


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
