"""The list of cases, its export, and the search."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from cases.access import TABLE, Act
from cases.queries.listing import Choice, case_page, case_rows, case_years, read_choice
from cases.queries.pages import Page
from cases.queries.search import Found, found_cases
from cases.rules.case import CaseState
from cases.rules.search import read_search
from me_office.accounts.requests import StaffRequest
from me_office.accounts.roles import CASE_ROLES
from me_office.audit import looks
from me_office.audit.errors import NotAllowed
from me_office.shell.exports import exported


@require_GET
def case_list(request: StaffRequest) -> HttpResponse:
    """List the cases open to the person, chosen by words."""
    _require_case_role(request)
    choice = _choice(request)
    page = case_page(request.user, choice, request.GET.get("after", ""))
    looks.note_list(request.user, "list of cases", rows=len(page.rows), asked=_asked(request))
    context = {
        "page": page,
        "choice": choice,
        "filters": _filters(choice),
        "years": _years(choice),
        "count_words": page.count_words("case", "cases"),
        "whose": {"all": _query(choice, mine=""), "mine": _query(choice, mine="1")},
        "links": _links(choice, page, request.GET.get("after", "")),
        "may_log": bool(request.user.roles & TABLE[Act.REPORT][0]),
    }
    return render(request, "cases/list.html", context)


@require_GET
def case_export(request: StaffRequest) -> StreamingHttpResponse:
    """Send the chosen cases as CSV, row by row."""
    _require_case_role(request)
    rows = case_rows(request.user, _choice(request))
    return exported(request.user, "list of cases", rows, asked=_asked(request), name="cases")


@require_GET
def search(request: StaffRequest) -> HttpResponse:
    """Find cases by number, name, date, place or words of the heading."""
    _require_case_role(request)
    terms = read_search(request.GET.get("q", ""), timezone.localdate())
    found = Found([], False) if terms.is_empty else found_cases(request.user, terms)
    rows = len(found.matches)
    looks.note_list(request.user, "search for cases", rows=rows, asked={"words": terms.text})
    context = {"terms": terms, "found": found, "search_words": terms.text}
    return render(request, "cases/search.html", context)


def _require_case_role(request: StaffRequest) -> None:
    if not request.user.roles & CASE_ROLES:
        raise NotAllowed("Your account gives no access to case files.")


def _asked(request: StaffRequest) -> dict[str, str]:
    return {name: request.GET.get(name, "") for name in ("state", "mine", "year", "after")}


def _choice(request: StaffRequest) -> Choice:
    asked = request.GET
    return read_choice(asked.get("state", ""), asked.get("mine", ""), asked.get("year", ""))


def _query(choice: Choice, **other: Any) -> str:
    chosen = {
        "state": choice.state.value if choice.state else "",
        "mine": "1" if choice.mine else "",
        "year": str(choice.year or ""),
    } | other
    return urlencode({name: value for name, value in chosen.items() if value})


def _filters(choice: Choice) -> list[dict[str, object]]:
    every = {"words": "all states", "query": _query(choice, state=""), "on": choice.state is None}
    states = [
        {
            "words": state.words,
            "query": _query(choice, state=state.value),
            "on": choice.state is state,
        }
        for state in CaseState
    ]
    return [every, *states]


def _years(choice: Choice) -> list[dict[str, object]]:
    years = case_years()
    if choice.year and choice.year not in years:
        years.append(choice.year)
    every = {"words": "all years", "query": _query(choice, year=""), "on": choice.year is None}
    return [every] + [
        {"words": str(year), "query": _query(choice, year=year), "on": choice.year == year}
        for year in years
    ]


def _links(choice: Choice, page: Page[Any], after: str) -> dict[str, str]:
    query = _query(choice)
    here = reverse("cases:list")
    return {
        "export": f"{reverse('cases:export')}?{query}" if page.count else "",
        "next": f"{here}?{_query(choice, after=page.next_key)}" if page.next_key else "",
        "first": f"{here}?{query}" if after else "",
    }
