"""Answer jobs: making answers, and taking up what was left lying."""

from __future__ import annotations

from cases.answers import actions
from cases.answers.build import build
from cases.answers.models import Answer
from me_office.jobs import sending
from me_office.jobs.kinds import Kind
from me_office.jobs.running import Stage

# As long as a packet of the whole case file may take.
LONGEST_SECONDS = 6 * 3600


def _make(answer: Answer, *, reached: Stage) -> None:
    attempt = answer.attempts
    with build(answer.pk, attempt, reached=reached) as made:
        actions.finish_answer(answer.created_by, answer_id=answer.pk, attempt=attempt, made=made)


ANSWERS = Kind(Answer, actions.ATTEMPTS, _make, queue=sending.LONG)
make_requested = ANSWERS.make_requested
build_answer, resume_answers = ANSWERS.tasks(
    resume="cases.answers.tasks.resume_answers",
    soft_time_limit=LONGEST_SECONDS,
    time_limit=LONGEST_SECONDS + 300,
)
