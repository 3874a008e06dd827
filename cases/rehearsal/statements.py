"""What is said of the notes of a rehearsal: who sees them, and who may ask for them."""

from me_office.statements import COMMON_PRACTICE, statement

WORK_NOTES = statement(
    "rehearsal.work-notes",
    "A court may ask for work notes, these among them. Whether and to whom they are handed over "
    "is a question for counsel. Write nothing here that you would not say in court.",
    where="Rehearsal",
    source=COMMON_PRACTICE,
)
RECORD_ALONE = statement(
    "rehearsal.record-alone",
    "Questions and answers are made from the record and are a reminder, not testimony. Where "
    "the record is silent, so is the answer. What a witness says is their own.",
    where="Rehearsal",
    source=COMMON_PRACTICE,
)
