"""Pages of the board and of a year's figures."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any
from uuid import UUID

from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_GET, require_http_methods

from cases.access import Act, may_somewhere
from cases.course import case_frame
from cases.docket import actions, queries, yearly
from cases.docket.forms import GiveForm
from cases.docket.queries import Choice
from cases.docket.rules import FIGURES_COUNT, Group, Whom
from cases.docket.yearly import Figures
from me_office.accounts.requests import StaffRequest
from me_office.accounts.roles import CASE_ROLES
from me_office.audit import looks
from me_office.audit.errors import NotAllowed, known_of_office
from me_office.shell.exports import exported
from me_office.shell.forms import answer_done, answer_form, submitted

COPIES_AHEAD = timedelta(days=14)
BOARD, FIGURES = "board of requests", "figures of requests"
YEARS = 5


@require_GET
def board(request: StaffRequest) -> HttpResponse:
    """Show the open requests: what is due when, what waits for whom."""
    choice = _choice(request)
    today = queries.today()
    found = queries.board_of(request.user, choice, today, page=_page(request))
    asked = _asked(choice)
    looks.note_list(request.user, BOARD, rows=len(found.rows), asked=asked)
    people = queries.people_who_handle()
    context = {
        "board": found,
        "choice": choice,
        "most": queries.MOST_OPEN,
        "groups": _grouped(found.rows),
        "group_filters": [
            _filter("all", {**asked, "group": ""}, not choice.group),
            *(
                _filter(f"{one.words} {found.groups[one]}", {**asked, "group": one},
                        choice.group == one)
                for one in Group
            ),
        ],
        "whom_filters": [
            _filter("anybody", {**asked, "whom": ""}, not choice.whom),
            *(
                _filter(f"{one.words} {found.whom[one]}", {**asked, "whom": one},
                        choice.whom == one)
                for one in Whom
                if found.whom[one] or choice.whom == one
            ),
        ],
        "person_filters": [
            _filter("everybody", {**asked, "person": ""}, not choice.person),
            _filter("nobody yet", {**asked, "person": "nobody"}, choice.person == "nobody"),
            *(
                _filter(str(one), {**asked, "person": str(one.pk)}, choice.person == str(one.pk))
                for one in people
            ),
        ],
        "copies": [
            (one, (one.back_by - today).days if one.back_by else 0)
            for one in queries.copies_due(request.user, today + COPIES_AHEAD)
        ],
        "not_fetched": queries.not_fetched(request.user, timezone.now()),
        "changed_since": queries.changed_since(request.user, today, timezone.now()),
        "now": timezone.now(),
        "may_give": may_somewhere(request.user, Act.HANDLE_REQUEST),
        "links": {
            "export": f"export.csv?{urlencode(asked)}",
            "next": f"?{urlencode({**asked, 'page': str(found.page + 1)})}"
            if found.page < found.pages else "",
            "first": f"?{urlencode(asked)}" if found.page > 1 else "",
        },
    }  # fmt: skip
    return render(request, "docket/board.html", context)


def _grouped(rows: Any) -> list[tuple[str, str, list[queries.Row]]]:
    """Return the rows of a page under their headings, in order."""
    return [
        (group.value, group.words, found)
        for group in Group
        if (found := [one for one in rows if one.group is group])
    ]


@require_GET
def export_board(request: StaffRequest) -> StreamingHttpResponse:
    """Send the chosen requests as CSV."""
    choice = _choice(request)
    rows = queries.board_rows(request.user, choice, queries.today())
    return exported(request.user, BOARD, rows, asked=_asked(choice), name="board-of-requests")


@require_GET
def figures(request: StaffRequest) -> HttpResponse:
    """Show a year's requests in figures, each of which opens into its requests."""
    found, year = _year(request)
    counted = found.year.parts[0].count
    looks.note_list(request.user, FIGURES, rows=counted, asked={"year": str(year)})
    this = queries.today().year
    context = {
        "found": found,
        "year": year,
        "most": yearly.MOST_A_YEAR,
        "years": [
            _filter(str(one), {"year": str(one)}, one == year)
            for one in range(this, this - YEARS, -1)
        ],
        "says": FIGURES_COUNT.text,
        "export_url": f"export.csv?year={year}",
    }
    return render(request, "docket/figures.html", context)


@require_GET
def export_figures(request: StaffRequest) -> StreamingHttpResponse:
    """Send a year's figures as CSV."""
    found, year = _year(request)
    rows = yearly.summary_rows(found)
    asked = {"year": str(year)}
    return exported(request.user, FIGURES, rows, asked=asked, name=f"requests-figures-{year}")


@require_GET
def figure(request: StaffRequest, key: str) -> HttpResponse:
    """Show the requests behind a figure."""
    found, year = _year(request, behind=True)
    part = known_of_office(
        yearly.figure_behind(request.user, date(year, 1, 1), date(year, 12, 31), found, key),
        "figure",
    )
    rows, at, pages = yearly.requests_behind(request.user, part.keys, page=_page(request))
    asked = {"year": str(year), "figure": key}
    looks.note_list(request.user, FIGURES, rows=len(rows), asked=asked)
    by_key = {one.key: one for one in found.rows}
    context = {
        "part": part,
        "year": year,
        "rows": [(one, by_key[one.pk]) for one in rows],
        "links": {
            "export": f"export.csv?year={year}",
            "next": f"?year={year}&page={at + 1}" if at < pages else "",
            "first": f"?year={year}" if at > 1 else "",
        },
    }
    return render(request, "docket/figure.html", context)


@require_GET
def export_figure(request: StaffRequest, key: str) -> StreamingHttpResponse:
    """Send the requests behind a figure as CSV."""
    found, year = _year(request, behind=True)
    part = known_of_office(
        yearly.figure_behind(request.user, date(year, 1, 1), date(year, 12, 31), found, key),
        "figure",
    )
    asked = {"year": str(year), "figure": key}
    rows = yearly.figure_rows(found, part.keys)
    return exported(request.user, FIGURES, rows, asked=asked, name=f"requests-{key}-{year}")


@require_http_methods(["GET", "POST"])
def give(request: StaffRequest, case_id: UUID, request_id: UUID) -> HttpResponse:
    """Say who handles a request."""
    frame = case_frame(request.user, case_id, current="court", act=Act.HANDLE_REQUEST)
    asked = queries.request_of(frame.case, request_id)
    handling = queries.handling_of(request_id)
    initial = {
        "person": handling.person_id if handling else request.user.pk,
        "before": handling.pk if handling else None,
    }
    form = GiveForm(request.POST or None, initial=initial)
    saved = submitted(request, form, actions.give_request, case_id=case_id, request_id=request_id)
    if saved:
        return answer_done(
            request, f"{saved}.", "court:request", case_id=case_id, request_id=request_id
        )
    context = {"frame": frame, "asked": asked, "handling": handling}
    return answer_form(request, "docket/give.html", context, form)


def _year(request: StaffRequest, *, behind: bool = False) -> tuple[Figures, int]:
    _require_staff(request)
    today = queries.today()
    first, last = yearly.read_year(request.GET.get("year", ""), today)
    read = yearly.year_behind if behind else yearly.year_of
    return read(request.user, first, last, today), first.year


def _choice(request: StaffRequest) -> Choice:
    _require_staff(request)
    asked = request.GET
    group, whom = asked.get("group", ""), asked.get("whom", "")
    person = asked.get("person", "")
    try:
        who = person if person in {"", "nobody"} else str(UUID(person))
    except ValueError:
        who = ""
    return Choice(
        group if group in {one.value for one in Group} else "",
        whom if whom in {one.value for one in Whom} else "",
        who,
    )


def _asked(choice: Choice) -> dict[str, str]:
    said = {"group": choice.group, "whom": choice.whom, "person": choice.person}
    return {name: str(value) for name, value in said.items() if value}


def _filter(words: str, asked: dict[str, Any], on: bool) -> dict[str, Any]:
    kept = {name: str(value) for name, value in asked.items() if value}
    return {"words": words, "query": urlencode(kept), "on": on}


def _page(request: StaffRequest) -> int:
    said = request.GET.get("page", "1")
    return int(said) if said.isdecimal() and len(said) < 6 else 1


def _require_staff(request: StaffRequest) -> None:
    if not request.user.roles & CASE_ROLES:
        raise NotAllowed("Your account gives no access to case files.")
