"""What differs in the record about an exhibit, for whoever goes to court with it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from cases.access import Act, may
from cases.appearances.readiness import Lack, Reading, register_reading
from cases.models import Case
from cases.witness.addresses import answers_url, exhibit_url
from cases.witness.queries import differences_in
from cases.witness.reading import read_sets
from me_office.accounts.models import Staff


def _differences(actor: Staff, case: Case, rows: Sequence[Any]) -> dict[UUID, list[Lack]]:
    sets = {
        row.exhibit_set_id: row.exhibit_set
        for row in rows
        if row.exhibit_set_id and not row.exhibit_set.is_voided
    }
    if not sets:
        return {}
    answers = may(actor, Act.ANSWER_AS_WITNESS, case)
    of_set = {
        read.exhibit_set.pk: [
            Lack(
                f"exhibit {exhibit.number}: {_words(len(differing))}",
                f"{answers_url(exhibit)}#differs" if answers else exhibit_url(exhibit),
            )
            for exhibit, differing in differences_in(read)
        ]
        for read in read_sets(case, list(sets.values()))
    }
    return {row.pk: of_set.get(row.exhibit_set_id, []) for row in rows}


def _words(count: int) -> str:
    if count == 1:
        return "two places of the record differ"
    return f"the record differs in {count} places"


register_reading(Reading("differences", _differences))
