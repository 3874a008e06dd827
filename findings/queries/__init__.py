"""Reads of the examination: what pages, the API and other parts of the office need."""

from findings.queries.chart import chart_mark, chart_marks, marks_by_view
from findings.queries.examination import (
    examination_for_update,
    examination_of,
    finding_for_update,
    interpretation_for_update,
    layer_for_update,
    mark_for_update,
    organ_weight_for_update,
    organ_weights_of,
    position_found,
)
from findings.queries.findings import (
    finding_for_page,
    findings_of,
    impacts_total_of,
    layers_words,
    sentence_of,
    standard_sentence_of,
    voided_findings_of,
)

__all__ = [
    "chart_mark",
    "chart_marks",
    "examination_for_update",
    "examination_of",
    "finding_for_page",
    "finding_for_update",
    "findings_of",
    "impacts_total_of",
    "interpretation_for_update",
    "layer_for_update",
    "layers_words",
    "mark_for_update",
    "marks_by_view",
    "organ_weight_for_update",
    "organ_weights_of",
    "position_found",
    "sentence_of",
    "standard_sentence_of",
    "voided_findings_of",
]
