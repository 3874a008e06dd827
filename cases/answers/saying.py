"""What an answer says about law, in one place."""

from __future__ import annotations

from me_office.statements import COMMON_PRACTICE, statement

SENT_LAW = statement(
    "answer.law",
    "What is sent, and what is kept back, was decided item by item for this request and approved "
    "by a second person of the office. What may be released is governed by local law and the "
    "court; this list is no legal advice.",
    where="Answer to a request, contents",
    source=COMMON_PRACTICE,
)
KEPT_BACK = statement(
    "answer.kept-back",
    "The court rules on whether a ground applies. This log names what was kept back and "
    "tells nothing of what it shows.",
    where="Answer to a request, withholding log",
    source=COMMON_PRACTICE,
)
