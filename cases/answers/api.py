"""API of answers to requests."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from cases.access import Act, require_role
from cases.answers import actions, queries
from cases.answers.models import PageSeries
from me_office.accounts.models import Staff
from me_office.shell.endpoints import adds, at, tells
from me_office.shell.shapes import shape_of

PageSeriesOutput = shape_of(
    "PageSeriesOutput", PageSeries, ("id", "version", *actions.SERIES_FIELDS, "next", "voided_at"),
    "How pages are numbered, and the next number.",
)  # fmt: skip
PageSeriesInput = shape_of(
    "PageSeriesInput", PageSeries, ("id", "of", *actions.SERIES_FIELDS),
    "Numbers the pages of later answers anew; `of` is the series that was read.",
    meta={"validators": []}, id=serializers.UUIDField(),
    of=serializers.UUIDField(allow_null=True, default=None),
)  # fmt: skip


class FoundPageOutput(serializers.Serializer[Any]):
    """What the office knows of one page number."""

    words = serializers.CharField(help_text="The number as it is stamped")
    state = serializers.ChoiceField(choices=["found", "unused", "not given"])
    case_id = serializers.UUIDField(source="run.case_id", default=None)
    answer_id = serializers.UUIDField(source="run.answer_id", default=None)
    label = serializers.CharField(source="part.label", default="")  # type: ignore[assignment]
    page_of_document = serializers.IntegerField()
    page_of_answer = serializers.IntegerField()


def _series(actor: Staff) -> list[PageSeries]:
    require_role(actor, Act.SEE)
    return queries.all_page_series()


def _found(actor: Staff, number: str) -> list[queries.FoundPage]:
    require_role(actor, Act.SEE)
    found = queries.find_page(actor, number)
    return [found] if found else []


routes = [
    at("page-numbers/series/", "page-series",
       get=tells("page_series_list", _series, PageSeriesOutput,
           "Return how the office has numbered pages, the present way first."),
       post=adds("page_series_replace", actions.replace_page_series, PageSeriesInput,
           PageSeriesOutput, "Number the pages of later answers anew.")),
    at("page-numbers/<str:number>/", "page-number",
       get=tells("page_number_find", _found, FoundPageOutput,
           "Return what stands on a numbered page; nothing where it is no page number.")),
]  # fmt: skip
