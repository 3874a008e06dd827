"""What the clerk of the invented office does with requests, in the words of a case's acts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from me_office.demo.scenario import Act, InDays

CLERK = "ostrander"


def ground(number: int, words: str, citation: str) -> Act:
    """A ground of the office's list, approved by its counsel."""
    entry = {
        "number": number, "words": words, "citation": citation,
        "approved_by": "Office of the County Counsel", "approved_on": InDays(-200),
    }  # fmt: skip
    return Act(CLERK, "add_ground", entry, name=f"ground {number}")


def rule(key: str, number: int) -> Act:
    """The ground that a rule of proposals names."""
    return Act(CLERK, "set_proposal_rule", {"key": key, "ground": number}, name=f"rule {key}")


def demand(
    of: str, title: str, words: str = "", kind: str = "documents", page: int | None = None
) -> Act:
    """One thing that a request asks for; later acts name it "REQUEST: TITLE"."""
    entry = {"title": title, "words": words, "kind": kind, "page": page}
    return Act(CLERK, "record_demand", entry, name=f"{of}: {title}", about=of)


def reached(of: str, kind: str, **more: object) -> Act:
    """Records that a demand reaches."""
    entry = {"kind": kind, **more}
    return Act(CLERK, "reach_records", entry, name=f"{of} reaches {kind}", about=of)


def decided(of: str, outcome: str, called: Sequence[str], **more: object) -> Act:
    """What becomes of items of a demand."""
    entry = {"outcome": outcome, "called": list(called), **more}
    return Act(CLERK, "decide_items", entry, name=f"{of} {outcome}", about=of)


def letter(of: str, kind: str, to_name: str, address: str, body: str) -> list[Act]:
    """A letter that is written and made."""
    name = f"{of} {kind}"
    entry = {"kind": kind, "to_name": to_name, "address": address, "body": body}
    return [
        Act(CLERK, "write_letter", entry, name=name, about=of),
        Act(CLERK, "make_letter", about=name),
    ]


def mailed(of: str, kind: str, to_name: str) -> Act:
    """How a letter went out."""
    entry = {"way": "mail", "to_name": to_name, "note": "With the afternoon mail"}
    return Act(CLERK, "record_letter_sent", entry, about=f"{of} {kind}")


def invoice(of: str, billed_to: str, address: str, counts: Mapping[str, int]) -> Act:
    """An invoice of a request."""
    entry = {"billed_to": billed_to, "address": address, "counts": dict(counts)}
    return Act(CLERK, "issue_invoice", entry, name=f"{of} invoice", about=of)
