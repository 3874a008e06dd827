"""What authors and reviewers do in a review that rules ask something of."""

from __future__ import annotations

from decimal import Decimal

from cases.review import actions, peer_actions
from cases.review.needs_rules import QUESTIONS
from me_office.audit.ids import new_id

ACCIDENTS = {"opinion_manners": ["accident"], "custody_places": "Jail or prison"}
OWN = {"kind": "own", "cause": "Cold, with injuries of the chest", "manner": "undetermined"}


def rule(thorne, version=0, record_id=None, reason="As agreed.", **entry):
    empty = {
        "opinion_manners": [], "opinion_under_age": None, "opinion_custody": False,
        "sheet_manners": [], "sheet_under_age": None, "sheet_custody": False,
        "share_percent": Decimal(0), "custody_places": "", "questions": "",
    }  # fmt: skip
    return peer_actions.change_review_policy(
        thorne, record_id=record_id or new_id(), version=version, entry={**empty, **entry},
        reason=reason,
    )  # fmt: skip


def send(case, vasko, **more):
    return actions.submit_report(vasko, case_id=case.pk, record_id=new_id(), version=1, **more)


def opine(by, draft, **entry):
    return peer_actions.record_opinion(
        by, case_id=draft.case_id, record_id=new_id(), draft_id=draft.pk, entry={**OWN, **entry}
    )


def compare(by, opinion, agrees, version=1):
    return peer_actions.compare_opinion(
        by, case_id=opinion.case_id, opinion_id=opinion.pk, version=version, cause_agrees=agrees
    )


def settle(by, opinion, how="stays", version=2, words="We read it together."):
    return peer_actions.settle_disagreement(
        by, case_id=opinion.case_id, opinion_id=opinion.pk, version=version, how=how, words=words
    )


def answers(said="yes", questions=None, words=""):
    questions = questions or [one.text for one in QUESTIONS]
    return [{"question": one, "answer": said, "words": words} for one in questions]


def fill(by, draft, said, version=0):
    return peer_actions.fill_sheet(
        by, case_id=draft.case_id, record_id=new_id(), version=version, draft_id=draft.pk,
        answers=said,
    )  # fmt: skip
