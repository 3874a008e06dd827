"""What the office says about medicine and law: by place, by words, or whole."""

from __future__ import annotations

from itertools import groupby
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from me_office.statements import Ground, Statement, by_place, matching

LONGEST = 120


@require_GET
def statement_page(request: HttpRequest) -> HttpResponse:
    """Show the places with how many texts each has, or those texts that were asked for.

    `words`, `place` and `ground` narrow them; `all` shows every registered text in one page.
    """
    asked = {name: request.GET.get(name, "").strip()[:LONGEST] for name in ASKED}
    is_list = any(asked.values()) or "all" in request.GET
    places = by_place()
    found = matching(**asked) if is_list else {}
    context = {
        **asked,
        "is_list": is_list,
        "places": [(where, len(texts)) for where, texts in places.items()],
        "grounds": list(Ground),
        "groups": _by_source(found),
        "found": sum(len(texts) for texts in found.values()),
        "count": sum(len(texts) for texts in places.values()),
    }
    return render(request, "shell/statements.html", context)


ASKED = ("words", "place", "ground")


def _by_source(places: dict[str, list[Statement]]) -> list[Any]:
    """Group the texts of each place by their source, as they stand: (place, (source, texts))."""
    return [
        (where, [(source, list(of_it)) for source, of_it in groupby(texts, lambda one: one.source)])
        for where, texts in places.items()
    ]
