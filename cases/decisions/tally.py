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


# By kind: the items of the case of a choice (`reach`), each with its key, when it was last changed
# and of what the digest is made that was decided about. What follows from the case alone never
# changes, and what was named by hand is looked at each time.
_ITEMS: Final[Mapping[ItemKind, str]] = {
    ItemKind.REPORT: """
        SELECT one.id, one.changed_at, jsonb_build_array(one.id, one.state,
          CASE one.state WHEN 'signed' THEN '' ELSE one.version::text END) AS parts
        FROM review_report AS one
        WHERE one.case_id = reach.case_id AND one.voided_at IS NULL AND reach.places @> 0""",
    ItemKind.ADDENDUM: """
        SELECT one.id, one.changed_at, jsonb_build_array(one.id, one.version) AS parts
        FROM review_addendum AS one
        WHERE one.case_id = reach.case_id AND one.voided_at IS NULL
          AND reach.places @> one.number::integer""",
    ItemKind.PHOTOGRAPH: """
        SELECT one.id, one.changed_at, jsonb_build_array(
          (SELECT file.sha256 FROM evidence_storedfile AS file WHERE file.id = one.file_id),
          one.shows, one.region, one.place, one.view) AS parts
        FROM evidence_photograph AS one
        WHERE one.case_id = reach.case_id AND one.voided_at IS NULL
          AND reach.places @> one.number::integer""",
    ItemKind.RESULT: """
        SELECT one.id, one.changed_at, jsonb_build_array(one.id, one.version) AS parts
        FROM results_result AS one
        WHERE one.case_id = reach.case_id AND one.voided_at IS NULL
          AND reach.places @> one.number::integer
          AND NOT EXISTS (SELECT FROM results_result AS later
            WHERE later.replaces_id = one.id AND later.voided_at IS NULL)""",
    ItemKind.CUSTODY: """
        SELECT reach.case_id, NULL::timestamptz, NULL::jsonb
        WHERE reach.places @> 0 AND EXISTS (SELECT FROM evidence_item AS one
          WHERE one.case_id = reach.case_id AND one.voided_at IS NULL
            AND one.kind <> 'photograph')""",
    ItemKind.STATEMENT: """
        SELECT one.id, one.changed_at, jsonb_build_array(one.id, one.version) AS parts
        FROM (SELECT given.id, given.changed_at, given.version,
            row_number() OVER (ORDER BY given.given_on, given.id)::integer AS place
          FROM statements_statement AS given
          WHERE given.case_id = reach.case_id AND given.voided_at IS NULL) AS one
        WHERE reach.places @> one.place""",
    ItemKind.HISTORY: """
        SELECT reach.case_id, NULL::timestamptz, NULL::jsonb WHERE reach.places @> 0""",
    # The same document may be redacted several times: it is one, as it was added first.
    ItemKind.DOCUMENT: """
        SELECT one.source_key, 'infinity'::timestamptz, jsonb_build_array(
          (SELECT file.sha256 FROM evidence_storedfile AS file WHERE file.id = one.first)) AS parts
        FROM (SELECT added.source_key,
            (array_agg(added.file_id ORDER BY added.created_at, added.id))[1] AS first,
            row_number() OVER (ORDER BY min(added.created_at))::integer AS place
          FROM redaction_documentredaction AS added
          WHERE added.case_id = reach.case_id AND added.voided_at IS NULL
            AND added.source_kind = 'added'
          GROUP BY added.source_key) AS one
        WHERE reach.places @> one.place""",
    ItemKind.LEDGER: """
        SELECT reach.case_id, NULL::timestamptz, NULL::jsonb WHERE reach.places @> 0""",
}

_OF_A_KIND: Final = """
  SELECT reach.request_id, reach.demand_id, reach.kind, one.item, one.changed_at, one.parts
  FROM reach CROSS JOIN LATERAL ({items}) AS one(item, changed_at, parts)
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
  SELECT chosen.request_id, chosen.demand_id, chosen.kind, chosen.id, 'infinity'::timestamptz,
    (SELECT jsonb_build_array(chosen.id, chosen.words) || coalesce(jsonb_agg(one.id), '[]')
      FROM decisions_enclosure AS one WHERE one.reach_id = chosen.id AND one.voided_at IS NULL)
  FROM chosen WHERE chosen.kind IN ('recording', 'other')
)
SELECT item.request_id, count(DISTINCT item.demand_id), count(*),
  count(*) FILTER (WHERE decision.id IS NULL),
  jsonb_agg(jsonb_build_array(decision.digest, item.parts))
    FILTER (WHERE item.changed_at > decision.created_at)
FROM item LEFT JOIN decisions_itemdecision AS decision
  ON decision.request_id = item.request_id AND decision.demand_id = item.demand_id
    AND decision.kind = item.kind AND decision.item = item.item::text
    AND decision.voided_at IS NULL
GROUP BY item.request_id
) AS counted""".replace(
    "{items}",
    "UNION ALL".join(
        _OF_A_KIND.replace("{items}", items).replace("{kind}", kind.value)
        for kind, items in _ITEMS.items()
    ),
)


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
    found = json.loads(again) if again else []
    return sum(digest_of(*parts) != digest for digest, parts in found)
