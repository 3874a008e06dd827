"""Endpoints of the examination and its findings."""

from __future__ import annotations

from cases.api.shared import CASE, seen
from cases.models import Case
from findings import actions, queries
from findings.api import serializers as s
from findings.api.rows import FINDING
from findings.models import Finding
from findings.questions import negatives
from findings.questions import queries as question_queries
from findings.questions.contradicting import findings_against
from me_office.audit.errors import NotKnown
from me_office.shell.endpoints import adds, at, changes, lists, reads

NOT_OPENED = "The examination of this case is not opened."


def _offered(case: Case) -> list[dict[str, object]]:
    examination = queries.examination_of(case)
    if examination is None:
        raise NotKnown(NOT_OPENED)
    seen = [question_queries.seen_of(one) for one in queries.findings_of(case)]
    stated = question_queries.stated_keys(examination)
    return [
        {
            "key": one.key,
            "section": one.section,
            "words": one.words,
            "stated": one.key in stated,
            "findings_against": findings_against(one, seen),
            "needed_first": negatives.needed_first(one, examination.deep_dissection),
        }
        for one in negatives.STATEMENTS.values()
        if one.section != negatives.BY_SYSTEM
        and negatives.is_offered(one, examination.kind, case.decedent.sex, examination.chart_body)
    ]


def _as_shown(finding: Finding) -> Finding:
    return queries.finding_for_page(finding.case, finding.pk)


routes = [
    at(f"{CASE}/examination/", "examination",
       get=reads("examination_read", seen("examination"), queries.examination_of,
           s.ExaminationSerializer, "Read the examination.", absent=NOT_OPENED),
       post=adds("examination_open", actions.open_examination, s.ExaminationOpenSerializer,
           s.ExaminationSerializer, "Open the examination."),
       patch=changes("examination_record", actions.record_examination,
           s.ExaminationChangeSerializer, s.ExaminationSerializer,
           "Record the examination; only the fields sent change.")),
    at(f"{CASE}/examination/negatives/", "negatives",
       get=lists("examination_negatives", seen("examination"), _offered, s.StatementSerializer,
           "Read the statements that are offered, with the findings that may speak against them."),
       post=changes("examination_confirm_negative", actions.confirm_negative, s.NegativeSerializer,
           s.ExaminationSerializer,
           "Confirm one negative statement; it is added to its section.")),
    at(f"{CASE}/examination/questions/", "questions",
       get=lists("examination_questions", seen("examination"), question_queries.questions_of,
           s.QuestionSerializer,
           "Read statements that findings may contradict, and sides that do not hold together.")),
    at(f"{CASE}/findings/", "findings",
       get=lists("findings_list", seen("findings"), queries.findings_of, s.FindingSerializer,
           "Read the standing findings by number."),
       post=adds("findings_record", actions.record_finding, s.NewFindingSerializer,
           s.FindingSerializer, "Record a finding with its marks.", shown=_as_shown)),
    at(f"{FINDING}/", "finding",
       get=reads("finding_read", seen("finding"), queries.finding_for_page, s.FindingSerializer,
           "Read one finding with what hangs on it."),
       patch=changes("finding_change", actions.change_finding, s.FindingChangeSerializer,
           s.FindingSerializer, "Change a finding; only the fields sent change.",
           shown=_as_shown)),
    at(f"{FINDING}/void/", "finding-void",
       post=changes("finding_void", actions.void_finding, s.VoidSerializer, s.FindingSerializer,
           "Void a finding with its marks; its number stays out of use.", shown=_as_shown)),
]  # fmt: skip
