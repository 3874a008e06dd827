"""API of rehearsal."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework import serializers

from cases.access import Act, case_for
from cases.api.shared import CASE
from cases.exhibits.queries import exhibit_of, set_of
from cases.models import Case
from cases.rehearsal import actions, queries
from cases.rehearsal.models import OwnQuestion, RehearsalMark
from cases.rehearsal.questions import Question, questions_on
from cases.rehearsal.rules import OUTCOMES
from cases.witness.queries import answers_for
from me_office.accounts.models import Staff
from me_office.audit.actions import note_access
from me_office.shell.endpoints import adds, at, changes, lists
from me_office.shell.shapes import NewShape, ReadShape, ReasonShape, shape_of

SET = f"{CASE}/exhibit-sets/<uuid:set_id>"
EXHIBIT = f"{SET}/exhibits/<uuid:exhibit_id>"


class AnswerLineOutput(serializers.Serializer[Any]):
    """A line of an answer; `recorded` is false where the record is silent."""

    words = serializers.CharField()
    ground = serializers.CharField()
    recorded = serializers.BooleanField()


class RehearsalQuestionOutput(serializers.Serializer[Any]):
    """A question made from the record, with the answer that the record gives."""

    key = serializers.CharField()
    asks = serializers.CharField()
    answer = AnswerLineOutput(many=True)


OwnQuestionOutput = shape_of(
    "OwnQuestionOutput", OwnQuestion,
    ("id", "version", "exhibit", "question", "answer", "voided_at"),
    "A question that somebody here expects; without `exhibit` on the set as a whole.",
)  # fmt: skip


class OwnQuestionInput(NewShape):
    """A new question; `id` is made by the client."""

    exhibit = serializers.UUIDField(required=False, allow_null=True, default=None)
    question = serializers.CharField(max_length=300)
    answer = serializers.CharField(max_length=2000)


class OwnQuestionChange(ReadShape):
    """A changed question, with the version that was read."""

    question = serializers.CharField(max_length=300)
    answer = serializers.CharField(max_length=2000)


class OwnQuestionReason(ReasonShape):
    """Withdraws a question, with the reason."""


class RehearsalMarkInput(NewShape):
    """How the sender's own answer came."""

    exhibit = serializers.UUIDField(required=False, allow_null=True, default=None)
    question = serializers.CharField(max_length=120)
    outcome = serializers.ChoiceField(choices=OUTCOMES)


RehearsalMarkOutput = shape_of(
    "RehearsalMarkOutput", RehearsalMark, ("id", "exhibit", "question", "outcome"),
    "How an answer came.",
)  # fmt: skip


def _door(actor: Staff, case_id: UUID) -> Case:
    case = case_for(actor, Act.REHEARSE, case_id)
    note_access(actor, case_id=case.pk, what="rehearsal")
    return case


def _questions(case: Case, set_id: UUID, exhibit_id: UUID) -> tuple[Question, ...]:
    return questions_on(answers_for(case, exhibit_of(case, set_id, exhibit_id)))


def _own(case: Case, set_id: UUID) -> list[OwnQuestion]:
    return queries.own_questions_of(set_of(case, set_id))


routes = [
    at(f"{EXHIBIT}/rehearsal/", "questions",
       get=lists("rehearsal_questions", _door, _questions, RehearsalQuestionOutput,
           "Return what is asked on the exhibit, with the answers that the record gives.")),
    at(f"{SET}/own-questions/", "own-questions",
       get=lists("own_questions_list", _door, _own, OwnQuestionOutput,
           "Return the office's own questions on the set and its exhibits."),
       post=adds("own_questions_add", actions.add_own_question, OwnQuestionInput,
           OwnQuestionOutput, "Add a question; the same id again gets the same question.")),
    at(f"{CASE}/own-questions/<uuid:question_id>/", "own-question",
       put=changes("own_questions_change", actions.change_own_question, OwnQuestionChange,
           OwnQuestionOutput, "Change a question or its answer.")),
    at(f"{CASE}/own-questions/<uuid:question_id>/withdraw/", "withdraw-own-question",
       post=changes("own_questions_withdraw", actions.withdraw_own_question, OwnQuestionReason,
           OwnQuestionOutput, "Withdraw a question, with the reason.")),
    at(f"{SET}/rehearsal-marks/", "marks",
       post=adds("rehearsal_marks_add", actions.mark_answer, RehearsalMarkInput,
           RehearsalMarkOutput,
           "Note how the sender's own answer came; the same id again is the same mark.")),
]  # fmt: skip
