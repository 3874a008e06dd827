"""Which passages of the report an amendment changes, with how each read before and reads now."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from cases.models import Case
from cases.review.content import report_content
from cases.review.models import Addendum, AmendedPassage
from me_office.accounts.models import Staff
from me_office.audit.records import save_new


class Passages:
    """Keep which passages of the report read otherwise after the amendment than before it."""

    def __init__(self, actor: Staff, case: Case) -> None:
        self.actor, self.case = actor, case

    def __enter__(self) -> Callable[[Addendum], None]:
        """Read the passages as they stand; return what keeps those that changed."""
        self.before = dict(_texts(report_content(self.case.pk)))
        return self.keep

    def __exit__(self, *_: object) -> None:
        """Nothing to close: what fails is rolled back with the whole act."""

    def keep(self, addendum: Addendum) -> None:
        """Write one row for each passage that changed."""
        after = dict(_texts(report_content(self.case.pk)))
        for key in dict.fromkeys([*self.before, *after]):
            lead, was = self.before.get(key, ("", ""))
            new_lead, now = after.get(key, ("", ""))
            if was == now:
                continue
            row = AmendedPassage(
                case=self.case, addendum=addendum, key=key, lead=lead or new_lead, was=was, now=now
            )
            save_new(self.actor, row, own_key=True)


def _texts(content: dict[str, Any]) -> Iterator[tuple[str, tuple[str, str]]]:
    """Yield (key, (lead, text)) of every fact and passage."""
    for fact in content["facts"]:
        yield f"fact-{fact['label']}", (fact["label"], fact["text"])
    for section in content["sections"]:
        for passage in section["passages"]:
            lead = passage.get("lead") or section["title"]
            yield passage["key"], (lead, passage["text"])
