"""How many items the demands of requests reach, and how many of them are undecided.

The same as a request's standing says of each demand, of hundreds of requests in one statement: the
items are counted in the database, by kind, and not read.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Final
from uuid import UUID

from django.db import connection

from cases.decisions.rules import DemandState, ItemKind, digest_of


@dataclass(frozen=True)
class Tally:
    """Of the demands for records of one request."""

    # How many of the demands reach anything.
    demands: int = 0
    items: int = 0
    # Not decided, or changed since they were.
    undecided: int = 0


NOTHING: Final = Tally()


def tally_of(demands: Collection[DemandState]) -> Tally:
    """Count what was read already."""
    asked = [one for one in demands if one.asks_records and one.reached]
    return Tally(
        len(asked),
        sum(one.reached for one in asked),
        sum(one.undecided + one.changed for one in asked),
    )


@dataclass(frozen=True)
class _Items:
    """Where the items of a kind are kept that a choice (`reach`) names, and what is asked of each.

    Its key, when it was last changed, and of what the digest is made that was decided about, which
    is looked at only where it was changed since.
    """

    source: str
    key: str = "one.id"
    changed: str = "one.changed_at"
    parts: str = "one.id, one.version"


# What follows from the case alone never changes.
_NEVER: Final = {"key": "reach.case_id", "changed": "NULL::timestamptz", "parts": "NULL"}
_OF_CASE: Final = "one.case_id = reach.case_id AND one.voided_at IS NULL"
_NUMBERED: Final = f"{_OF_CASE} AND reach.places @> one.number::integer"

_ITEMS: Final[Mapping[ItemKind, _Items]] = {
    ItemKind.REPORT: _Items(
        f"review_report AS one ON {_OF_CASE} AND reach.places @> 0",
        parts="one.id, one.state, CASE one.state WHEN 'signed' THEN '' ELSE one.version::text END",
    ),
    ItemKind.ADDENDUM: _Items(f"review_addendum AS one ON {_NUMBERED}"),
    ItemKind.PHOTOGRAPH: _Items(
        f"evidence_photograph AS one ON {_NUMBERED}",
        parts="(SELECT file.sha256 FROM evidence_storedfile AS file WHERE file.id = one.file_id),"
        " one.shows, one.region, one.place, one.view",
    ),
    ItemKind.RESULT: _Items(
        f"results_result AS one ON {_NUMBERED} AND NOT EXISTS (SELECT FROM results_result AS later"
        " WHERE later.replaces_id = one.id AND later.voided_at IS NULL)"
    ),
    ItemKind.CUSTODY: _Items(
        "(SELECT) AS one ON reach.places @> 0 AND EXISTS (SELECT FROM evidence_item AS kept"
        " WHERE kept.case_id = reach.case_id AND kept.voided_at IS NULL"
        " AND kept.kind <> 'photograph')",
        **_NEVER,
    ),
    ItemKind.STATEMENT: _Items(
        "LATERAL (SELECT given.id, given.changed_at, given.version,"
        " row_number() OVER (ORDER BY given.given_on, given.id)::integer AS place"
        " FROM statements_statement AS given"
        " WHERE given.case_id = reach.case_id AND given.voided_at IS NULL) AS one"
        " ON reach.places @> one.place"
    ),
    ItemKind.HISTORY: _Items("(SELECT) AS one ON reach.places @> 0", **_NEVER),
    # The same document may be redacted several times: it is one, as it was added first.
    ItemKind.DOCUMENT: _Items(
        "LATERAL (SELECT added.source_key,"
        " (array_agg(added.file_id ORDER BY added.created_at, added.id))[1] AS first,"
        " row_number() OVER (ORDER BY min(added.created_at))::integer AS place"
        " FROM redaction_documentredaction AS added"
        " WHERE added.case_id = reach.case_id AND added.voided_at IS NULL"
        " AND added.source_kind = 'added' GROUP BY added.source_key) AS one"
        " ON reach.places @> one.place",
        key="one.source_key",
        changed="'infinity'::timestamptz",
        parts="(SELECT file.sha256 FROM evidence_storedfile AS file WHERE file.id = one.first)",
    ),
    ItemKind.LEDGER: _Items("(SELECT) AS one ON reach.places @> 0", **_NEVER),
}

_OF_A_KIND: Final = """
  SELECT reach.request_id, reach.demand_id, decided.demand_id IS NULL AS is_open,
    CASE WHEN {changed} > decided.created_at
      THEN jsonb_build_array(decided.digest, jsonb_build_array({parts})) END AS again
  FROM reach JOIN {source}
    LEFT JOIN decisions_itemdecision AS decided ON decided.demand_id = reach.demand_id
      AND decided.kind = '{kind}' AND decided.item = ({key})::text AND decided.voided_at IS NULL
  WHERE reach.kind = '{kind}'
"""
# Several choices of one kind of a demand are one, so that no item is counted twice.
_STATEMENT: Final = """SELECT counted.* FROM (
WITH chosen AS MATERIALIZED (
  SELECT choice.id, choice.request_id, choice.demand_id, choice.case_id, choice.kind,
    choice.first, choice.last, choice.words
  FROM decisions_reach AS choice
    JOIN court_demand AS demand ON demand.id = choice.demand_id
    JOIN court_recordsrequest AS asked ON asked.id = choice.request_id
  WHERE choice.request_id = ANY (%(requests)s::uuid[]) AND choice.voided_at IS NULL
    AND asked.id = ANY (%(requests)s::uuid[])
    AND demand.voided_at IS NULL AND demand.kind = 'documents'
    AND (choice.case_id = asked.case_id OR EXISTS (SELECT FROM court_requestcase AS further
      WHERE further.request_id = asked.id AND further.case_id = choice.case_id
        AND further.voided_at IS NULL))
    AND choice.case_id <> ALL (%(closed)s::uuid[])
), reach AS MATERIALIZED (
  SELECT request_id, demand_id, case_id, kind,
    range_agg(int4range(first::integer, last::integer, '[]')) AS places
  FROM chosen WHERE kind NOT IN ('recording', 'other')
  GROUP BY request_id, demand_id, case_id, kind
), item AS (
{items}
  UNION ALL
  SELECT chosen.request_id, chosen.demand_id, decided.demand_id IS NULL,
    CASE WHEN decided.demand_id IS NOT NULL THEN jsonb_build_array(decided.digest,
      (SELECT jsonb_build_array(chosen.id, chosen.words) || coalesce(jsonb_agg(one.id), '[]')
        FROM decisions_enclosure AS one
        WHERE one.reach_id = chosen.id AND one.voided_at IS NULL)) END
  FROM chosen LEFT JOIN decisions_itemdecision AS decided
    ON decided.demand_id = chosen.demand_id AND decided.kind = chosen.kind
      AND decided.item = chosen.id::text AND decided.voided_at IS NULL
  WHERE chosen.kind IN ('recording', 'other')
), of_demand AS (
  SELECT request_id, count(*) AS items, count(*) FILTER (WHERE is_open) AS undecided,
    jsonb_agg(again) FILTER (WHERE again IS NOT NULL) AS again
  FROM item GROUP BY request_id, demand_id
)
SELECT request_id, count(*), sum(items)::integer, sum(undecided)::integer, jsonb_agg(again)
FROM of_demand GROUP BY request_id
) AS counted""".replace(
    "{items}",
    "UNION ALL".join(
        _OF_A_KIND.replace("{source}", one.source).replace("{key}", one.key)
        .replace("{changed}", one.changed).replace("{parts}", one.parts)
        .replace("{kind}", kind.value)
        for kind, one in _ITEMS.items()
    ),
)  # fmt: skip


def tallies(requests: Collection[UUID], *, closed: Collection[UUID] = ()) -> dict[UUID, Tally]:
    """Count the items of requests that have any; one statement.

    Of the cases that are `closed` to who asks nothing is counted.
    """
    if not requests:
        return {}
    said = {"requests": _array(requests), "closed": _array(closed)}
    with connection.cursor() as cursor:
        cursor.execute(_STATEMENT, said)
        rows = cursor.fetchall()
    return {
        key: Tally(demands, items, undecided + _changed(again))
        for key, demands, items, undecided, again in rows
    }


def _array(keys: Collection[UUID]) -> str:
    return "{" + ",".join(map(str, keys)) + "}"


def _changed(again: str | None) -> int:
    """Count of what was touched since it was decided what is not the same any more."""
    by_demand = json.loads(again) if again else []
    found = [one for touched in by_demand for one in touched or ()]
    return sum(digest_of(*parts) != digest for digest, parts in found)
