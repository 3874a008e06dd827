"""What the pages of the calculations show, put together from queries, forms and words."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.urls import reverse

from cases.access import Act, decision_on
from cases.course import CaseFrame
from findings.calculations.organ_reference import ORGAN_NAMES
from findings.calculations.pmi_rectal import METHOD as RECTAL
from findings.calculations.registry import find
from findings.calculations.vitreous_potassium import METHOD as VITREOUS
from findings.computing import drawing, prefill, queries
from findings.computing.forms import Choices, MarkRow, MethodForm, StoredInterval
from findings.computing.labels import key_words, label_of
from findings.computing.last_alive import cautions_about_last_alive, last_alive_of
from findings.computing.models import Calculation
from findings.computing.offered import GROUPS, OFFERS, Offer, Way
from findings.computing.wording import Phrased, given_of, phrase
from findings.computing.wording.phrasing import sources_of
from me_office.accounts.requests import StaffRequest
from me_office.shell.templatetags.office import short_moment
from me_office.statements import COMMON_PRACTICE, statement

BLANK_MARKS = tuple(MarkRow(letter, f"Mark {letter}") for letter in "ABCDEF")
NOBODY_DECIDES = statement(
    "calculations.nobody-decides",
    "No method decides anything: it calculates from what is entered. "
    "A licensed pathologist judges the result together with everything else in the case.",
    where="Calculations",
    source=COMMON_PRACTICE,
).text
# Kept results of a method that the list shows; its own page shows them all.
SHOWN = 3
NOT_COMPUTED = "Change this, then compute again"


@dataclass(frozen=True)
class Kept:
    """A kept calculation as lists show it."""

    calculation: Calculation
    phrased: Phrased

    @property
    def url(self) -> str:
        """Its page."""
        return reverse("computing:kept", args=[self.calculation.case_id, self.calculation.pk])


def kept(calculation: Calculation) -> Kept:
    """A stored calculation in words."""
    return Kept(
        calculation,
        phrase(
            calculation.method,
            calculation.result,
            calculation.inputs,
            calculation.measured_at,
            settings.OFFICE_ZONE,
        ),
    )


def groups(case: Any) -> list[tuple[str, list[dict[str, object]]]]:
    """The offered methods by group, each with what is kept of it; one statement."""
    rows = [kept(one) for one in queries.calculations_of(case)]

    def entry(offer: Offer) -> dict[str, object]:
        of_it = [row for row in rows if row.calculation.method == offer.name]
        return {"offer": offer, "kept": of_it, "more": max(0, len(of_it) - SHOWN)}

    return [(title, [entry(offer) for offer in OFFERS if offer.group == title]) for title in GROUPS]


def choices_of(offer: Offer, case: Any) -> Choices:
    """What the form of a method offers to choose from."""
    if offer.name == "impacts":
        injuries = queries.injuries_of(case)
        marks = tuple(MarkRow(str(one.number), prefill.finding_words(one)) for one in injuries)
        return Choices(marks=marks or BLANK_MARKS)
    if offer.name == "time_since_death":
        rows = queries.calculations_of(case)
        return Choices(intervals=tuple(filter(None, map(_interval, rows))))
    return Choices()


def _interval(calculation: Calculation) -> StoredInterval | None:
    """A kept interval that can be put on a time line."""
    result, at = calculation.result, calculation.measured_at
    if calculation.method not in (RECTAL.name, VITREOUS.name) or at is None:
        return None
    low, high = result.get("low_h"), result.get("high_h")
    if calculation.refused:
        least = result.get("minimum_h_at_Q_0_2") or result.get("minimum_h")
        low, high = least, None
    if low is None:
        return None
    label = find(calculation.method).title.removeprefix("Time since death from ")
    label = f"{label[:1].upper()}{label[1:]}, {short_moment(at)}"
    inputs: dict[str, Any] = {"label": label, "measured_at": at.isoformat(), "low_h": low}
    if high is not None:
        inputs["high_h"] = high
    span = f"{low:.1f} to {high:.1f} h" if high is not None else f"at least {low:.1f} h"
    return StoredInterval(str(calculation.pk), f"{label}: {span} before", inputs)


def form_of(request: StaffRequest, offer: Offer, way: Way, case: Any) -> MethodForm:
    """The method's form, filled from the case file."""
    picked = {**{key: str(value) for key, value in request.GET.items()}, "way": way.key}
    known = prefill.known_for(offer.name, case, picked)
    return MethodForm(
        request.POST or None,
        offer=offer,
        way=way,
        known=known,
        choices=choices_of(offer, case),
    )


def digest_of(inputs: Mapping[str, object], measured_at: object) -> str:
    """Tells whether what is kept is what was shown."""
    text = json.dumps([inputs, str(measured_at)], sort_keys=True, default=str)
    return hashlib.sha256(text.encode()).hexdigest()


def blocks(form: MethodForm) -> list[dict[str, object]]:
    """The form's fields in the groups in which the page shows them."""
    shown: list[dict[str, object]] = []
    for one in form.offer.method.fields:
        if one.name not in form.way.fields:
            continue
        names = [
            name for name in form.fields if name == one.name or name.startswith(f"{one.name}__")
        ]
        legend = label_of(one.name)
        if one.name == "marks":
            shown.append({"kind": "marks", "legend": legend, "rows": _mark_rows(form)})
        elif one.name == "estimates":
            by_hand = [form[name] for name in form.fields if name.startswith("by_hand__")]
            boxes = form[one.name] if one.name in form.fields else None
            shown.append({"kind": "intervals", "boxes": boxes, "fields": by_hand})
        elif one.name == "fraction_burned":
            shown.append({"kind": "regions", "legend": legend, **_region_rows(form)})
        elif len(names) > 1:
            kind = "range" if f"{one.name}__high" in names else "group"
            fields = [form[name] for name in names]
            shown.append({"kind": kind, "legend": legend, "help": one.help, "fields": fields})
        else:
            shown.append({"kind": "field", "field": form[one.name]})
    return shown


def _mark_rows(form: MethodForm) -> list[dict[str, object]]:
    return [
        {
            "words": row.words,
            "fields": [form[f"mark__{row.key}"], form[f"group__{row.key}"]],
        }
        for row in form.choices.marks
    ]


def _region_rows(form: MethodForm) -> dict[str, object]:
    """Regions below each other; front and back beside each other where the chart has both."""
    rows: dict[str, list[object]] = {}
    paired = any(region.endswith("_back") for region in form.way.regions)
    for region in form.way.regions:
        words, _, face = key_words(region).partition(", ")
        row = rows.setdefault(words, [None, None] if paired else [None])
        row[1 if face == "back" else 0] = form[f"fraction_burned__{region}"]
    return {"paired": paired, "rows": list(rows.items())}


def method_context(
    request: StaffRequest, frame: CaseFrame, form: MethodForm, result: Any
) -> dict[str, object]:
    """Everything the page of a method shows."""
    offer = form.offer
    decision = decision_on(request.user, Act.CALCULATE, frame.case)
    context: dict[str, object] = {
        "frame": frame,
        "offer": offer,
        "method": offer.method,
        "way": form.way,
        "blocks": blocks(form),
        "may_keep": decision.allowed,
        "why_not": decision.why,
        "nobody_decides": NOBODY_DECIDES,
        "kept": [kept(one) for one in queries.calculations_of(frame.case, method=offer.name)],
        "standing": _standing(offer),
        "ends": _ends(offer, frame.case, request),
        "by_hand_open": any(form[n].value() for n in form.fields if n.startswith("by_hand__")),
        "errors_title": "" if request.POST.get("act") == "keep" else NOT_COMPUTED,
        "phrased": None,
    }
    if offer.name == "organ_weights":
        context |= _weighed(frame.case)
    if result is not None:
        measured_at = form.cleaned_data.get("measured_at")
        context |= shown(offer.name, form.plain_inputs, result, measured_at, form.taken_from)
        context["last_alive"] = cautions_about_last_alive(
            result, measured_at, last_alive_of(frame.case), settings.OFFICE_ZONE
        )
        context["shown_digest"] = digest_of(form.plain_inputs, measured_at)
    return context


def shown(
    method: str,
    inputs: Mapping[str, Any],
    result: Mapping[str, Any],
    measured_at: Any,
    taken_from: Mapping[str, Any],
) -> dict[str, Any]:
    """A result, its inputs in words and its plot."""
    zone = settings.OFFICE_ZONE
    is_current = result.get("version") == find(method).version
    return {
        "phrased": phrase(method, result, inputs, measured_at, zone),
        "given": given_of(find(method), inputs, taken_from, zone),
        "measured_at": measured_at,
        "plot": drawing.plot_of(method, inputs, result, measured_at, zone) if is_current else None,
    }


def _standing(offer: Offer) -> dict[str, object]:
    """Cautions and sources of the method itself, before there is a result."""
    return {"cautions": offer.method.cautions, "sources": sources_of(offer.method.sources)}


def _weighed(case: Any) -> dict[str, object]:
    weights = {row.organ.replace(" ", "_"): float(row.weight_g) for row in queries.weights_of(case)}
    known = {organ: weights[organ] for organ in ORGAN_NAMES if organ in weights}
    plot = drawing.organs_plot(case.decedent.sex, known)
    return {"weighed_plot": plot, "weighed": [(key, key.replace("_", " ")) for key in known]}


def _ends(offer: Offer, case: Any, request: StaffRequest) -> dict[str, object] | None:
    """The findings that may be taken as ends of a wound path, and those that are."""
    if offer.name != "wound_path":
        return None
    injuries = queries.injuries_of(case)
    taken = prefill.path_ends(injuries, {k: str(v) for k, v in request.GET.items()})
    return {
        "findings": [(str(one.number), prefill.finding_words(one)) for one in injuries],
        "entrance": str(taken["entrance"].number) if taken["entrance"] else "",
        "terminus": str(taken["terminus"].number) if taken["terminus"] else "",
    }
