"""Whatever is done after the signature, what was signed reads as it did, byte for byte."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cases.certification.actions import state_cause_and_manner
from cases.certification.models import Certification
from cases.review import actions, amending, threads
from cases.review.models import ReportDraft, ReviewComment
from cases.review.queries import signed_content
from cases.review.rules import canonical_of, digest_of
from me_office.audit.errors import NotAllowed, Refused, StaleRecord
from me_office.audit.ids import new_id
from tests.builders import taken_back
from tests.results.builders import report_of
from tests.review.test_review import comment_on

WORDS = st.text(alphabet="abc é\n", min_size=1, max_size=12).map(lambda text: f"x{text}")


def add(case: Any, by: Any, words: str) -> None:
    entry = {"kind": "addendum", "amends": "", "text": words, "why": words}
    actions.add_addendum(by, case_id=case.pk, record_id=new_id(), entry=entry)


def amend(case: Any, by: Any, words: str) -> None:
    version = Certification.objects.get(case=case).version
    amending.amend_record(
        by, case_id=case.pk, record_id=new_id(), what="cause-and-manner", version=version,
        entry={"manner": "undetermined", "cause_a": words.replace("\n", " ")}, reason=words,
    )  # fmt: skip


def write(case: Any, by: Any, words: str) -> None:
    entry = {"opinion": words, "history": "", "summary": ""}
    actions.write_report(by, case_id=case.pk, record_id=new_id(), version=2, entry=entry)


def state(case: Any, by: Any, words: str) -> None:
    entry = {"manner": "natural", "cause_a": words.replace("\n", " ")}
    state_cause_and_manner(by, case_id=case.pk, record_id=new_id(), version=1, entry=entry)


def report(case: Any, by: Any, words: str) -> None:
    report_of(by, case, statement=words)


def speak(case: Any, by: Any, words: str) -> None:
    comment_on(by, ReportDraft.objects.get(case=case), "cause", words)


def resolve(case: Any, by: Any, words: str) -> None:
    comment = ReviewComment.objects.filter(case=case).first()
    key = comment.pk if comment else new_id()
    threads.resolve_comment(by, case_id=case.pk, comment_id=key, version=1, words=words)


ACTS: list[Callable[[Any, Any, str], None]] = [add, amend, write, state, report, speak, resolve]


@settings(
    max_examples=6, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(st.tuples(st.sampled_from(ACTS), st.booleans(), WORDS), min_size=1, max_size=5))
def test_no_sequence_of_acts_changes_what_was_signed(signed_once, sequence):
    case, vasko, thorne = signed_once
    signed = ReportDraft.objects.get(case=case)
    said = canonical_of(signed.content), signed.sha256
    with taken_back():
        for act, by_author, words in sequence:
            try:
                act(case, vasko if by_author else thorne, words)
            except (NotAllowed, Refused, StaleRecord):
                assert act not in (add, report)  # these may always follow
            now = ReportDraft.objects.get(case=case)
            assert (canonical_of(now.content), now.sha256) == said
            assert digest_of(signed_content(case.pk) or {}) == signed.sha256
