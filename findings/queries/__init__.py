"""Reads of the examination: what pages, the API and other parts of the office need."""

from findings.queries.examination import (
    examination_for_update,
    examination_has_ended,
    examination_of,
    finding_for_update,
    interpretation_for_update,
    layer_for_update,
    mark_for_update,
)
from findings.queries.findings import (
    counted_injuries,
    finding_for_page,
    findings_of,
    injury_counts_of,
    layers_words,
    place_of,
    position_words,
    sentence_of,
    standard_sentence_of,
    voided_findings_of,
    wound_in,
)

__all__ = [
    "counted_injuries",
    "examination_for_update",
    "examination_has_ended",
    "examination_of",
    "finding_for_page",
    "finding_for_update",
    "findings_of",
    "injury_counts_of",
    "interpretation_for_update",
    "layer_for_update",
    "layers_words",
    "mark_for_update",
    "place_of",
    "position_words",
    "sentence_of",
    "standard_sentence_of",
    "voided_findings_of",
    "wound_in",
]
