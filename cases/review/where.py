"""On which page the office does what a report, or a closing, still lacks."""

from __future__ import annotations

from collections.abc import Iterable
from uuid import UUID

from django.urls import reverse

# How the sentences of `cases.review.rules` begin, or end, and the page that mends each.
_BEGINS = (
    ("The examination ", "findings:examination"),
    ("It is not recorded that the circumstances", "findings:examination"),
    ("Cause and manner ", "certification:cause-and-manner"),
    ("The opinion ", "review:report"),
    ("The scene ", "cases:scene"),
    ("The body is neither ", "cases:body"),
    ("The body is in the office", "remains:remains"),
    ("An examination is opened", "review:report"),
)
_ENDS = ((" not answered.", "review:review"),)
# The report's own words stand on the page that says what is lacking.
_PLACE = {"review:report": "#id_opinion_field"}


def with_pages(sentences: Iterable[str], case_id: UUID) -> list[tuple[str, str]]:
    """Return each sentence with the address of the page where it is mended."""
    return [(sentence, _page(sentence, case_id)) for sentence in sentences]


def _page(sentence: str, case_id: UUID) -> str:
    named = [page for begins, page in _BEGINS if sentence.startswith(begins)]
    named += [page for ends, page in _ENDS if sentence.endswith(ends)]
    (page,) = named
    return reverse(page, kwargs={"case_id": case_id}) + _PLACE.get(page, "")
