"""Pages that only the tests show: one form, one case, pictures under a veil."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.template import engines
from django.urls import path

from cases.course import CaseFrame, StepShown
from cases.models import Case
from cases.rules.case import Certainty
from me_office.audit import errors
from me_office.audit.context import current_request
from me_office.shell.forms import OfficeForm
from me_office.urls import handler403, handler404, handler500
from me_office.urls import urlpatterns as office_urls

__all__ = ["handler403", "handler404", "handler500", "urlpatterns"]

TEMPLATES = Path(__file__).parent / "templates"


class SceneForm(OfficeForm):
    """A form with every kind of field the frame knows."""

    units = {"temperature": "°C"}
    position = forms.CharField(label="Position as found", help_text="As seen, not as told.")
    temperature = forms.DecimalField(label="Air temperature", required=False)
    pressed = forms.ChoiceField(
        label="When you pressed",
        widget=forms.RadioSelect,
        choices=[("blanches", "Blanches"), ("partly", "Partly"), ("fixed", "Fixed")],
    )
    alive_certainty = forms.ChoiceField(
        label="How sure",
        widget=forms.RadioSelect,
        choices=[(state.value, state.value) for state in Certainty],
        initial="exact",
    )
    alive_at = forms.DateTimeField(label="At", required=False)
    alive_until = forms.DateTimeField(label="Until", required=False)
    reason = forms.CharField(label="Reason", required=False)
    # As on a release of the body: in a script the field hides what the form says of itself.
    method = forms.CharField(label="How it was seen", required=False)


received: list[dict[str, Any]] = []


def show(request: HttpRequest, page: str, context: dict[str, Any], status: int = 200) -> Any:
    content = engines["django"].from_string((TEMPLATES / page).read_text()).render(context, request)
    return HttpResponse(content, status=status)


def scene(request: HttpRequest) -> HttpResponse:
    form = SceneForm(request.POST or None)
    if form.is_bound and form.is_valid():
        received.append({**form.cleaned_data})
        facts = current_request.get()
        assert facts is not None
        facts.done = True  # as every action of the office says
        messages.success(request, "The scene is recorded.")
        return redirect("/tests/veils/")
    return show(request, "scene.html", {"form": form}, status=422 if form.errors else 200)


def frame_of(case: Case) -> CaseFrame:
    titles = ["First call", "Scene", "Body", "Examination", "Photographs", "Specimens"]
    steps = [
        StepShown(title.lower(), title, "recorded", "/tests/case/", title == "Body")
        for title in titles
    ]
    return CaseFrame(case, case.decedent, steps, "body")


def case(request: HttpRequest) -> HttpResponse:
    found = Case.objects.select_related("decedent").get()
    rows = [{"when": "11:42", "words": "I. Vasko placed the mark", "url": "/"}]
    page = "case_without_thread.html" if "plain" in request.GET else "case.html"
    return show(request, page, {"frame": frame_of(found), "rows": rows})


def veils(request: HttpRequest) -> HttpResponse:
    return show(request, "veils.html", {})


class RowForm(OfficeForm):
    """One line of a list."""

    words = forms.CharField(label="Words")


row_words = dict.fromkeys(range(1, 4), "")


def rows(request: HttpRequest) -> HttpResponse:
    """Show a list with a form below it; each row leads to its own page and comes back."""
    form = RowForm(request.POST or None)
    if form.is_bound and form.is_valid():
        row_words[max(row_words) + 1] = form.cleaned_data["words"]
        messages.success(request, "The row is added.")
        return redirect("/tests/rows/")
    return show(request, "rows.html", {"form": form, "rows": row_words.items()})


def row(request: HttpRequest, number: int) -> HttpResponse:
    form = RowForm(request.POST or None)
    if form.is_bound and "void" in request.POST:
        del row_words[number]
        messages.success(request, f"Row {number} is voided.")
        return redirect("/tests/rows/")
    if form.is_bound and form.is_valid():
        row_words[number] = form.cleaned_data["words"]
        messages.success(request, f"Row {number} is saved.")
        return redirect("/tests/rows/")
    return show(request, "row.html", {"form": form, "number": number})


def part(request: HttpRequest) -> HttpResponse:
    """Answer with a part of the list's page, as made anew."""
    return show(request, "part.html", {"is_made": "made" in request.GET})


def refuse(request: HttpRequest, code: str) -> HttpResponse:
    raise {
        "refused": errors.Refused("A case with an open review cannot be released."),
        "not_allowed": errors.NotAllowed("Only a supervisor signs off."),
        "not_known": errors.NotKnown("There is no such case."),
        "conflict": errors.Conflict("This number was used before."),
    }[code]


urlpatterns = [
    path("tests/scene/", scene),
    path("tests/case/", case),
    path("tests/veils/", veils),
    path("tests/rows/", rows),
    path("tests/rows/part/", part),
    path("tests/rows/<int:number>/", row),
    path("tests/refuse/<str:code>/", refuse),
    *office_urls,
]
