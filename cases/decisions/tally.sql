-- How many items the demands of requests reach, by request: how many demands reach any, how many
-- items, how many were not decided, and, of each that was touched since, the digest that was decided
-- about and of what it is made now. What follows from the case alone never changes. Each kind is read
-- as its reader in cases/decisions reads it; tests/decisions/test_tally.py compares the two.
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
  -- Several choices of one kind of a demand are one, so that no item is counted twice.
  SELECT request_id, demand_id, case_id, kind,
    range_agg(int4range(first::integer, last::integer, '[]')) AS places
  FROM chosen WHERE kind NOT IN ('recording', 'other')
  GROUP BY request_id, demand_id, case_id, kind
), item AS (
  SELECT reach.request_id, reach.demand_id, 1 AS items,
    (decided.demand_id IS NULL)::integer AS open,
    CASE WHEN one.changed_at > decided.created_at
      THEN jsonb_build_array(decided.digest, jsonb_build_array(one.id, one.state,
        CASE one.state WHEN 'signed' THEN '' ELSE one.version::text END)) END AS again
  FROM reach JOIN review_report AS one
      ON one.case_id = reach.case_id AND one.voided_at IS NULL AND reach.places @> 0
    LEFT JOIN decisions_itemdecision AS decided ON decided.demand_id = reach.demand_id
      AND decided.kind = 'report' AND decided.item = one.id::text
      AND decided.voided_at IS NULL
  WHERE reach.kind = 'report'
UNION ALL
  SELECT reach.request_id, reach.demand_id, 1 AS items,
    (decided.demand_id IS NULL)::integer AS open,
    CASE WHEN one.changed_at > decided.created_at
      THEN jsonb_build_array(decided.digest, jsonb_build_array(one.id, one.version)) END AS again
  FROM reach JOIN review_addendum AS one
      ON one.case_id = reach.case_id AND one.voided_at IS NULL AND reach.places @> one.number::integer
    LEFT JOIN decisions_itemdecision AS decided ON decided.demand_id = reach.demand_id
      AND decided.kind = 'addendum' AND decided.item = one.id::text
      AND decided.voided_at IS NULL
  WHERE reach.kind = 'addendum'
UNION ALL
  -- A demand may reach hundreds: all are counted, and those that were decided are taken off, read
  -- from the decisions. Looked up the other way, each would be compared with every decision.
  SELECT reach.request_id, reach.demand_id, count(*)::integer AS items, count(*)::integer AS open,
    NULL::jsonb AS again
  FROM reach JOIN evidence_photograph AS one
      ON one.case_id = reach.case_id AND one.voided_at IS NULL AND reach.places @> one.number::integer
  WHERE reach.kind = 'photograph'
  GROUP BY reach.request_id, reach.demand_id
UNION ALL
  SELECT reach.request_id, reach.demand_id, 0 AS items, -1 AS open,
    CASE WHEN one.changed_at > decided.created_at
      THEN jsonb_build_array(decided.digest, jsonb_build_array(
        (SELECT file.sha256 FROM evidence_storedfile AS file WHERE file.id = one.file_id),
        one.shows, one.region, one.place, one.view)) END AS again
  FROM reach JOIN decisions_itemdecision AS decided ON decided.demand_id = reach.demand_id
      AND decided.kind = 'photograph' AND decided.voided_at IS NULL
    JOIN evidence_photograph AS one
      ON one.id = decided.item::uuid AND one.case_id = reach.case_id
        AND one.voided_at IS NULL AND reach.places @> one.number::integer
  WHERE reach.kind = 'photograph'
UNION ALL
  SELECT reach.request_id, reach.demand_id, 1 AS items,
    (decided.demand_id IS NULL)::integer AS open,
    CASE WHEN one.changed_at > decided.created_at
      THEN jsonb_build_array(decided.digest, jsonb_build_array(one.id, one.version)) END AS again
  FROM reach JOIN results_result AS one
      ON one.case_id = reach.case_id AND one.voided_at IS NULL AND reach.places @> one.number::integer AND NOT EXISTS
        (SELECT FROM results_result AS later
          WHERE later.replaces_id = one.id AND later.voided_at IS NULL)
    LEFT JOIN decisions_itemdecision AS decided ON decided.demand_id = reach.demand_id
      AND decided.kind = 'result' AND decided.item = one.id::text
      AND decided.voided_at IS NULL
  WHERE reach.kind = 'result'
UNION ALL
  SELECT reach.request_id, reach.demand_id, 1 AS items,
    (decided.demand_id IS NULL)::integer AS open,
    NULL::jsonb AS again
  FROM reach JOIN (SELECT) AS one ON reach.places @> 0 AND EXISTS
        (SELECT FROM evidence_item AS kept
          WHERE kept.case_id = reach.case_id AND kept.voided_at IS NULL AND kept.kind <> 'photograph')
    LEFT JOIN decisions_itemdecision AS decided ON decided.demand_id = reach.demand_id
      AND decided.kind = 'custody record' AND decided.item = reach.case_id::text
      AND decided.voided_at IS NULL
  WHERE reach.kind = 'custody record'
UNION ALL
  SELECT reach.request_id, reach.demand_id, 1 AS items,
    (decided.demand_id IS NULL)::integer AS open,
    CASE WHEN one.changed_at > decided.created_at
      THEN jsonb_build_array(decided.digest, jsonb_build_array(one.id, one.version)) END AS again
  FROM reach JOIN LATERAL (
      SELECT given.id, given.changed_at, given.version,
        row_number() OVER (ORDER BY given.given_on, given.id)::integer AS place
      FROM statements_statement AS given
      WHERE given.case_id = reach.case_id AND given.voided_at IS NULL) AS one ON reach.places @> one.place
    LEFT JOIN decisions_itemdecision AS decided ON decided.demand_id = reach.demand_id
      AND decided.kind = 'statement' AND decided.item = one.id::text
      AND decided.voided_at IS NULL
  WHERE reach.kind = 'statement'
UNION ALL
  SELECT reach.request_id, reach.demand_id, 1 AS items,
    (decided.demand_id IS NULL)::integer AS open,
    NULL::jsonb AS again
  FROM reach JOIN (SELECT) AS one ON reach.places @> 0
    LEFT JOIN decisions_itemdecision AS decided ON decided.demand_id = reach.demand_id
      AND decided.kind = 'history' AND decided.item = reach.case_id::text
      AND decided.voided_at IS NULL
  WHERE reach.kind = 'history'
UNION ALL
  SELECT reach.request_id, reach.demand_id, 1 AS items,
    (decided.demand_id IS NULL)::integer AS open,
    CASE WHEN decided.demand_id IS NOT NULL
      THEN jsonb_build_array(decided.digest, jsonb_build_array(
        (SELECT file.sha256 FROM evidence_storedfile AS file WHERE file.id = one.first))) END AS again
  FROM reach JOIN LATERAL (
      -- The same document may be redacted several times: it is one, as it was added first.
      SELECT added.source_key,
        (array_agg(added.file_id ORDER BY added.created_at, added.id))[1] AS first,
        row_number() OVER (ORDER BY min(added.created_at))::integer AS place
      FROM redaction_documentredaction AS added
      WHERE added.case_id = reach.case_id AND added.voided_at IS NULL AND added.source_kind = 'added'
      GROUP BY added.source_key) AS one ON reach.places @> one.place
    LEFT JOIN decisions_itemdecision AS decided ON decided.demand_id = reach.demand_id
      AND decided.kind = 'document' AND decided.item = one.source_key::text
      AND decided.voided_at IS NULL
  WHERE reach.kind = 'document'
UNION ALL
  SELECT reach.request_id, reach.demand_id, 1 AS items,
    (decided.demand_id IS NULL)::integer AS open,
    NULL::jsonb AS again
  FROM reach JOIN (SELECT) AS one ON reach.places @> 0
    LEFT JOIN decisions_itemdecision AS decided ON decided.demand_id = reach.demand_id
      AND decided.kind = 'ledger proof' AND decided.item = reach.case_id::text
      AND decided.voided_at IS NULL
  WHERE reach.kind = 'ledger proof'
UNION ALL
  -- What was named by hand is looked at each time it was decided.
  SELECT chosen.request_id, chosen.demand_id, 1, (decided.demand_id IS NULL)::integer,
    CASE WHEN decided.demand_id IS NOT NULL THEN jsonb_build_array(decided.digest,
      (SELECT jsonb_build_array(chosen.id, chosen.words) || coalesce(jsonb_agg(one.id), '[]')
        FROM decisions_enclosure AS one
        WHERE one.reach_id = chosen.id AND one.voided_at IS NULL)) END
  FROM chosen LEFT JOIN decisions_itemdecision AS decided
    ON decided.demand_id = chosen.demand_id AND decided.kind = chosen.kind
      AND decided.item = chosen.id::text
      AND decided.voided_at IS NULL
  WHERE chosen.kind IN ('recording', 'other')
), of_demand AS (
  SELECT request_id, sum(items) AS items, sum(open) AS undecided,
    jsonb_agg(again) FILTER (WHERE again IS NOT NULL) AS again
  FROM item GROUP BY request_id, demand_id
)
SELECT request_id, count(*), sum(items)::integer, sum(undecided)::integer, jsonb_agg(again)
FROM of_demand GROUP BY request_id
