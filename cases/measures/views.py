"""Pages: what waits and since when, the office's figures, and the cases behind each number."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET

from cases import access
from cases.access import Act
from cases.measures import charts, queries, reading
from cases.measures.figures import OPEN_TO_YOU, Figure, TurnAround
from cases.measures.reading import Measured
from cases.measures.rules import (
    DAYS_SHOWN,
    ESTIMATE,
    LAST_TWELVE_MONTHS,
    LIMIT_A_YEAR,
    RECOMMENDED_A_YEAR,
    TARGET_DAYS,
    TARGET_PERCENT,
    TURN_AROUND,
    WORKLOAD,
    age_words,
    day_words,
    days_words,
)
from cases.measures.waits import (
    COUNTED_FROM,
    UNNAMED,
    Wait,
    WaitKind,
    chosen,
    detail_words,
    lines_of,
)
from me_office.accounts.requests import StaffRequest
from me_office.audit import looks
from me_office.shell.exports import exported

PAGE = 60
PAGES: dict[WaitKind, str] = {
    WaitKind.NOT_EXAMINED: "findings:examination",
    WaitKind.NOT_BEGUN: "review:report",
    WaitKind.WRITING: "review:report",
    WaitKind.IN_REVIEW: "review:review",
    WaitKind.SENT_BACK: "review:review",
    WaitKind.PENDING: "certification:cause-and-manner",
    WaitKind.RESULTS: "results:all",
    WaitKind.LATE: "review:report",
}


def page_of(one: Wait) -> str:
    """Return the address at which what waits is done."""
    keys: dict[str, Any] = {"case_id": one.case_id}
    if one.kind is WaitKind.PENDING and one.signed:
        return reverse("review:amend", kwargs={**keys, "what": "cause-and-manner"})
    return reverse(PAGES[one.kind], kwargs=keys)


def _asked(request: StaffRequest, *names: str) -> dict[str, str]:
    return {name: request.GET.get(name, "") for name in names if request.GET.get(name)}


@require_GET
def waiting(request: StaffRequest) -> HttpResponse:
    """Show what waits, by person and kind, and the cases of what is chosen."""
    access.require_role(request.user, Act.SEE_MEASURES)
    asked = _asked(request, "kind", "person", "from")
    found, today = queries.waiting(request.user), queries.today()
    rows = chosen(found.waits, kind=asked.get("kind", ""), person=asked.get("person", ""))
    start = _start(asked.get("from", ""))
    shown = rows[start : start + PAGE]
    names = queries.names_of(key for one in found.waits for key in (one.person, one.also))
    titles = queries.titles_of(request.user, (one.case_id for one in shown))
    looks.note_list(request.user, "what waits", rows=len(shown), asked=asked)
    more = urlencode({**asked, "from": start + PAGE}) if len(rows) > start + PAGE else ""
    lines = lines_of(found.waits, names, today)
    context = {
        "waits": found.waits,
        "cut": [kind.words.lower() for kind in found.cut],
        "most": queries.MOST_WAITING,
        "lines": lines,
        "kinds": WaitKind.choices(),
        "counted_from": [(kind.words, COUNTED_FROM[kind]) for kind in WaitKind],
        "all_people": queries.sees_all(request.user),
        "oldest": age_words(max((one.days(today) for one in found.waits), default=0)),
        "rows": [_shown(one, names, titles, today) for one in shown],
        "chosen_words": _chosen_words(asked, names, len(rows)),
        "asked": asked,
        "person_query": urlencode(_asked(request, "person")),
        "export_url": f"{reverse('measures:waiting-export')}?{urlencode(asked)}" if rows else "",
        "next_url": f"?{more}" if more else "",
        "first_url": f"?{urlencode(_asked(request, 'kind', 'person'))}" if start else "",
        "open_to_you": OPEN_TO_YOU,
    }
    return render(request, "measures/waiting.html", context)


def _start(said: str) -> int:
    return int(said) if said.isascii() and said.isdecimal() and len(said) < 7 else 0


def _shown(one: Wait, names: dict[str, str], titles: dict[Any, str], today: Any) -> dict[str, Any]:
    who = names.get(one.person, "") or UNNAMED.get(one.kind, "Nobody named")
    by = f"by {names[one.also]}" if names.get(one.also) else ""
    return {
        "number": one.label,
        "title": titles.get(one.case_id, ""),
        "what": one.kind.words,
        "detail": "; ".join(part for part in (who, by, detail_words(one)) if part),
        "when": age_words(one.days(today)),
        "url": page_of(one),
        "late": one.is_late(today),
    }


def _chosen_words(asked: dict[str, str], names: dict[str, str], count: int) -> str:
    kind, person = asked.get("kind", ""), asked.get("person", "")
    what = WaitKind(kind).words if reading.is_known_kind(kind) else "Everything waiting"
    whose = f", {names.get(person, 'nobody named')}" if person else ""
    return f"{what}{whose}: {count:,}"


@require_GET
def waiting_export(request: StaffRequest) -> StreamingHttpResponse:
    """Send what waits as CSV; it names no decedent."""
    access.require_role(request.user, Act.SEE_MEASURES)
    asked = _asked(request, "kind", "person")
    found = queries.waiting(request.user)
    rows = chosen(found.waits, kind=asked.get("kind", ""), person=asked.get("person", ""))
    names = queries.names_of(one.person for one in rows)
    lines = reading.rows_of_waits(rows, names, queries.today())
    return exported(request.user, "what waits", lines, asked=asked, name="waiting")


def _measured(request: StaffRequest) -> Measured:
    access.require_role(request.user, Act.SEE_MEASURES)
    return reading.measured(
        request.user, request.GET.get("period", ""), all_kinds=request.GET.get("kinds") == "all"
    )


def _query(found: Measured, **more: str) -> str:
    said = {"period": found.period.key, "kinds": "all" if found.all_kinds else "", **more}
    return urlencode({name: value for name, value in said.items() if value})


@require_GET
def measures(request: StaffRequest) -> HttpResponse:
    """Show the figures of a period."""
    found = _measured(request)
    asked = _asked(request, "period", "kinds")
    looks.note_list(request.user, "measures", rows=len(found.figures), asked=asked)
    turn = found.turn_around
    context = {
        "found": found,
        "turn": turn,
        "within": {share.days: turn.figure.part(f"within-{share.days}") for share in turn.shares},
        "query": _query(found),
        "periods": _periods(found),
        "kinds": [
            {"words": "autopsies", "query": _query(found, kinds=""), "on": not found.all_kinds},
            {"words": "every kind", "query": _query(found, kinds="all"), "on": found.all_kinds},
        ],
        "curve": _curve_chart(turn),
        "age_chart": _age_chart(found.open),
        "load_chart": _load_chart(found),
        "all_people": queries.sees_all(request.user),
        "most": queries.MOST_EXAMINED,
        "today": day_words(found.today),
        "said": {
            "turn_around": TURN_AROUND.say(),
            "estimate": ESTIMATE.say(),
            "workload": WORKLOAD.say(),
        },
        "open_to_you": OPEN_TO_YOU,
    }
    return render(request, "measures/measures.html", context)


def _periods(found: Measured) -> list[dict[str, Any]]:
    named = [(LAST_TWELVE_MONTHS, "last 12 months"), *((str(y), str(y)) for y in reading.years())]
    return [
        {"words": words, "query": _query(found, period=key), "on": key == found.period.key}
        for key, words in named
    ]


def _curve_chart(turn: TurnAround) -> str:
    curve = turn.curve
    if not curve.n or curve.last_day is None:
        return ""
    points = [(step.day, 1 - step.left) for step in curve.steps]
    said = "; ".join(
        f"by day {share.days} {share.estimate_words}" for share in turn.shares
        if share.estimate_words
    ) or "too few for an estimate"  # fmt: skip
    # Drawn from numbers and the office's own words; what is text is escaped there.
    return mark_safe(  # noqa: S308
        charts.step_curve(
            points,
            until=curve.last_day,
            marks=DAYS_SHOWN,
            target=(TARGET_DAYS, TARGET_PERCENT / 100),
            says=f"Estimated share of reports signed by days since the examination: {said}. "
            "The table beneath says the same.",
        )
    )


def _age_chart(figure: Figure) -> str:
    rows = [(part.words.replace(" days", ""), part.count) for part in figure.parts]
    if not any(count for _, count in rows):
        return ""
    said = "; ".join(f"{words} days {count}" for words, count in rows)
    return mark_safe(  # noqa: S308
        charts.columns(rows, says=f"Open reports by days since the examination: {said}.", after=3)
    )


def _load_chart(found: Measured) -> str:
    rows = [(one.name, one.autopsies.count) for one in found.workload.people]
    if not rows:
        return ""
    said = "; ".join(f"{name} {count}" for name, count in rows)
    limits = [(RECOMMENDED_A_YEAR, "250"), (LIMIT_A_YEAR, "325")]
    return mark_safe(  # noqa: S308
        charts.bars(
            rows, says=f"Autopsies by pathologist, with lines at 250 and 325: {said}.",
            limits=limits,
        )
    )  # fmt: skip


@require_GET
def cases_behind(request: StaffRequest) -> HttpResponse:
    """Show the cases behind one number."""
    found = _measured(request)
    figure, part = found.part(request.GET.get("figure", ""), request.GET.get("part", ""))
    start = _start(request.GET.get("from", ""))
    shown = part.rows[start : start + PAGE]
    asked = _asked(request, "figure", "part", "period", "kinds", "from")
    looks.note_list(request.user, "cases behind a measure", rows=len(shown), asked=asked)
    query = _query(found, figure=figure.key, part=part.key)
    titles = queries.titles_of(request.user, (row.case_id for row in shown))
    context = {
        "figure": figure,
        "part": part,
        "rows": [
            {
                "number": row.label,
                "title": titles.get(row.case_id, ""),
                "detail": "; ".join(_row_words(found, row)),
                "when": days_words(row.days) if row.days or figure.key != "returned" else "",
                "url": reverse("cases:case", kwargs={"case_id": row.case_id}),
            }
            for row in shown
        ],
        "back": _query(found),
        "export_url": f"{reverse('measures:cases-export')}?{query}" if part.rows else "",
        "next_url": f"?{query}&from={start + PAGE}" if part.count > start + PAGE else "",
        "first_url": f"?{query}" if start else "",
    }
    return render(request, "measures/cases.html", context)


def _row_words(found: Measured, row: Any) -> list[str]:
    ended = f"to {day_words(row.ended_on)}" if row.ended_on else ""
    said = [found.names.get(row.person, ""), row.detail, f"{day_words(row.began_on)} {ended}"]
    return [words.strip() for words in said if words.strip()]


@require_GET
def cases_export(request: StaffRequest) -> StreamingHttpResponse:
    """Send the cases behind one number as CSV; it names no decedent."""
    found = _measured(request)
    figure, part = found.part(request.GET.get("figure", ""), request.GET.get("part", ""))
    asked = _asked(request, "figure", "part", "period", "kinds")
    rows = reading.rows_of_part(found, part)
    name = f"measure-{figure.key}"
    return exported(request.user, "cases behind a measure", rows, asked=asked, name=name)
