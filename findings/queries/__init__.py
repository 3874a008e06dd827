"""Reads of the examination: what pages, the API and other parts of the office need."""

from findings.queries.chart import (
    chart_mark,
    chart_marks,
    marks_by_view,
)
from findings.queries.examination import (
    examination_for_update,
    examination_of,
    finding_for_update,
    interpretation_for_update,
    layer_for_update,
    lividity_for_update,
    mark_for_update,
    organ_weight_for_update,
    organ_weights_of,
    position_found,
    rigor_for_update,
    wound_path_for_update,
)
from findings.queries.findings import (
    finding_for_page,
    findings_of,
    height_of,
    impacts_total_of,
    layers_words,
    place_of,
    sentence_of,
    standard_sentence_of,
    voided_findings_of,
)
from findings.queries.paths import (
    PathRow,
    path_rows,
    paths_words,
    points_of,
)
from findings.queries.postmortem import (
    as_region,
    lividity_of,
    postmortem_rows_words,
    postmortem_words,
    rigor_of,
)
from findings.queries.terms import office_terms

__all__ = [
    "PathRow",
    "as_region",
    "chart_mark",
    "chart_marks",
    "examination_for_update",
    "examination_of",
    "finding_for_page",
    "finding_for_update",
    "findings_of",
    "height_of",
    "impacts_total_of",
    "interpretation_for_update",
    "layer_for_update",
    "layers_words",
    "lividity_for_update",
    "lividity_of",
    "mark_for_update",
    "marks_by_view",
    "office_terms",
    "organ_weight_for_update",
    "organ_weights_of",
    "path_rows",
    "paths_words",
    "place_of",
    "points_of",
    "position_found",
    "postmortem_rows_words",
    "postmortem_words",
    "rigor_for_update",
    "rigor_of",
    "sentence_of",
    "standard_sentence_of",
    "voided_findings_of",
    "wound_path_for_update",
]
