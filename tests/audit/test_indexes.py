"""At ten million events every read of the trail is served by an index."""

from __future__ import annotations

import json
import uuid
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from cases.queries.file import latest_changes
from evidence.photographs.queries import looks_at
from me_office.accounts.roles import Role
from me_office.audit import queries
from me_office.audit.context import RequestFacts, current_request
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.audit.test_frame import note_medication
from tests.builders import make_case, make_staff, past_the_triggers

ROWS = 20_000
CASES = 600
# Spread as an office's are: many cases, several events an act, people who come again.
FILL = """
INSERT INTO audit_auditevent (at, transaction, "table", operation, record_id, case_id, changes,
  act, reason, actor_id, actor_name, actor_roles, source, request_id, address, database_role)
SELECT now(), n / 3, CASE n % 3 WHEN 0 THEN 'findings_finding' ELSE 'findings_mark' END,
  'update', md5((n % 9000)::text), md5((n / 3 % {cases})::text)::uuid, '{{}}', 'change_finding', '',
  md5((n % 40)::text)::uuid, 'A', '', 'page', '', '', 'r'
FROM generate_series(1, {rows}) AS n;
INSERT INTO audit_accessevent (at, case_id, what, record_id, actor_id, actor_name, request_id,
  address, asked)
SELECT now(), CASE WHEN n % 50 > 0 THEN md5((n % {cases})::text)::uuid END, 'scene',
  md5((n % 9000)::text), md5((n % 40)::text)::uuid, 'A', '', '', '{{}}'
FROM generate_series(1, {rows}) AS n;
INSERT INTO audit_requestanswer (key, act, ordinal, at, digest, record_type, record_id, actor_id)
SELECT md5(n::text)::uuid, 'act', 0, now(), '', 'none', '', '{actor}'
FROM generate_series(1, {rows}) AS n;
ANALYZE audit_auditevent, audit_accessevent, audit_requestanswer;
"""


@pytest.fixture
def large(db: None, rows_counted_anew: None) -> Any:
    """A trail of many cases; returns a person."""
    actor = make_staff(Role.INVESTIGATOR)
    with past_the_triggers() as cursor:
        cursor.execute(FILL.format(rows=ROWS, cases=CASES, actor=actor.pk))
    return actor


# It holds nothing but what its read asks for.
OWN_INDEX = "access_event_of_no_case"


def whole_scans(plan: dict[str, Any], *, in_order: bool = True) -> list[str]:
    """Return the tables of the trail that a plan reads from end to end, also along an index."""
    own, kind = plan.get("Relation Name", ""), plan["Node Type"]
    along = in_order and kind.startswith("Index") and "Filter" in plan and "Index Cond" not in plan
    along = along and plan["Index Name"] != OWN_INDEX
    scanned = (along or kind == "Seq Scan") and own.startswith("audit_")
    found = [own] if scanned else []
    parts = plan.get("Plans", [])
    return found + [one for part in parts for one in whole_scans(part, in_order=in_order)]


def test_no_read_of_the_trail_goes_through_all_of_it(large):
    case = make_case()
    case_id, someone = uuid.UUID(hex=_md5("5")), uuid.UUID(hex=_md5("7"))
    record = AuditEvent.objects.filter(table="findings_finding").first().record_id
    event = AuditEvent.objects.filter(case_id=case_id).first()
    case.pk = case_id
    photograph = type("Shown", (), {"case_id": case_id, "pk": record})()
    token = current_request.set(RequestFacts(request_key=new_id()))
    try:
        with CaptureQueriesContext(connection) as asked:
            queries.case_history(case_id)
            queries.case_history(case_id, before=event.transaction)
            queries.case_history(case_id, by=someone)
            queries.record_history("findings_finding", record, also=[("findings_mark", record)])
            queries.acts_on("findings_finding", record, also=["findings_mark"])
            queries.case_readers(case_id)
            queries.case_readers(case_id, before=ROWS)
            queries.list_readers()
            queries.list_readers(before=ROWS)
            queries.actors_of(case_id)
            queries.failed_tries(someone)
            # As the time line of a request asks when an act was.
            AuditEvent.objects.filter(transaction=event.transaction).order_by("id").first()
            list(looks_at(photograph))
            latest_changes(case)
            note_medication(large, case=make_case(), record_id=new_id(), name="Lisinopril")
    finally:
        current_request.reset(token)
    reads = [
        one["sql"] for one in asked if "audit_" in one["sql"] and "audit_note" not in one["sql"]
    ]
    assert len(reads) > 12
    faults = {}
    with connection.cursor() as cursor:
        for read in reads:
            cursor.execute(f"EXPLAIN (FORMAT JSON) {read}")
            told = cursor.fetchone()[0]
            plan = told if isinstance(told, list) else json.loads(told)
            if whole_scans(plan[0]["Plan"]):
                faults[read] = whole_scans(plan[0]["Plan"])
        # What a function of the database does is not told by EXPLAIN of its call.
        cursor.execute(
            "EXPLAIN (FORMAT JSON) SELECT id FROM audit_requestanswer"
            " WHERE at < clock_timestamp() - interval '30 days' ORDER BY at LIMIT 1000"
        )
        # Once a day, and along the days: it may pass by what is younger.
        assert not whole_scans(cursor.fetchone()[0][0]["Plan"], in_order=False)
        cursor.execute("EXPLAIN (FORMAT JSON) SELECT 1 FROM audit_auditevent WHERE reason = 'x'")
        control = whole_scans(cursor.fetchone()[0][0]["Plan"])
    assert faults == {}
    assert control == ["audit_auditevent"], "a read without an index would have been seen"


def _md5(text: str) -> str:
    from hashlib import md5

    return md5(text.encode(), usedforsecurity=False).hexdigest()
