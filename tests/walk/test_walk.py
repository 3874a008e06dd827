"""A case in the hands of several people who send, send again, come late and may not.

Hypothesis draws who does what in which order. What comes of it is checked against a plain account
(`tests.walk.model`): nothing lost, nothing twice, every version the next one, and the history
tells each act once. With WALK=200 in the environment 200 cases are walked, other ones each time.
"""

from __future__ import annotations

import json
import os
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from typing import Any, ClassVar

import hypothesis
import pytest
from django.apps import apps
from django.db import connection
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    precondition,
    rule,
    run_state_machine_as_test,
)

from cases.actions import accept_jurisdiction, log_report_of_death
from cases.models import Case
from evidence.custody.queries import custody_record
from findings.actions import open_examination
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit import queries, words
from me_office.audit.context import RequestFacts, current_request
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, OfficeError, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent, Record
from tests.builders import make_staff
from tests.cases.entries import first_call
from tests.cases.test_access_table import EXPECTED
from tests.findings.builders import opening
from tests.walk.acts import CERTIFY, DECIDING, EXAMINE, KINDS, WRITE, WRITING, holder
from tests.walk.hand import Hand, Kind, other_words
from tests.walk.model import LETTERS, Account, Sent

pytestmark = pytest.mark.django_db(transaction=True)
WIDE = int(os.environ.get("WALK", "0"))
AUTHORS = {EXAMINE, CERTIFY, WRITE}


class CaseWalk(RuleBasedStateMachine):
    """One case; each rule is one thing that one person does."""

    people: ClassVar[list[Staff]]
    reviewer: ClassVar[Staff]

    def __init__(self) -> None:
        super().__init__()
        self.account = Account()
        self.under_way = True

    @initialize(data=st.data())
    def begin(self, data: Any) -> None:
        """A case is logged, accepted and examined, and its report begun."""
        with self._busy():
            self._begin(data, self.people[0], self.people[1])

    def _begin(self, data: Any, quill: Staff, vasko: Staff) -> None:
        case_id = self.account.case_id = new_id()
        with self._told(quill, "log_report_of_death"):
            log_report_of_death(quill, record_id=case_id, entry=first_call())
        with self._told(quill, "accept_jurisdiction"):
            accept_jurisdiction(quill, case_id=case_id, version=1, reason="Nobody saw the fall.")
        entry = opening(circumstances_reviewed=True)
        entry["ended_at"] = entry["began_at"] + timedelta(hours=2)
        with self._told(vasko, "open_examination"):
            open_examination(vasko, case_id=case_id, record_id=new_id(), entry=entry)
        self.account.wrote.add(vasko.pk)
        begun = ("record_finding", "take_specimen", "add_photograph", "state_cause_and_manner",
                 "write_report")  # fmt: skip
        for name in begun:
            hand = Hand(self.account, data.draw, vasko)
            self._send(self._made(name, hand, vasko))

    # What people do

    @rule(data=st.data())
    def write(self, data: Any) -> None:
        """Somebody who may does one of the things that can be done now, in one way or another."""
        self._act(data, WRITING)

    @rule(data=st.data())
    def decide(self, data: Any) -> None:
        """The report goes to review, comes back, is signed."""
        self._act(data, DECIDING)

    @precondition(lambda self: self.account.sent)
    @rule(data=st.data())
    def send_again(self, data: Any) -> None:
        """What was sent once is sent again, much later, as it was or changed."""
        with self._busy():
            sent = data.draw(st.sampled_from(self.account.sent), label="sent before")
            self._again(data, sent)

    @rule(data=st.data())
    def come_too_late(self, data: Any) -> None:
        """Somebody whose work it is does what the state of the case does not allow."""
        with self._busy():
            now = self._letter
            closed = {
                name: kind for name, kind in KINDS.items()
                if not any(now in states for states in EXPECTED[kind.label].values())
                and kind.needs(self.account)
            }  # fmt: skip
            if not closed:
                return
            name = data.draw(st.sampled_from(sorted(closed)), label="too late")
            actor = data.draw(st.sampled_from(self._those_who(closed[name].label)))
            sent = self._made(name, Hand(self.account, data.draw, actor), actor)
            self._refused(sent, NotAllowed)

    # How it is sent

    def _act(self, data: Any, kinds: dict[str, Kind]) -> None:
        with self._busy():
            now = self._letter
            can = [
                name for name, kind in kinds.items()
                if any(now in states for states in EXPECTED[kind.label].values())
                and kind.needs(self.account) and self._those_who(kind.label, now)
            ]  # fmt: skip
            if not can:
                return
            # What this walk did least often comes first, so that no act is left out for long.
            can.sort(key=lambda name: sum(sent.kind == name for sent in self.account.sent))
            name = data.draw(st.sampled_from(can[:12]), label="act")
            kind = KINDS[name]
            actor = data.draw(st.sampled_from(self._those_who(kind.label, now)), label="by")
            sent = self._made(name, Hand(self.account, data.draw, actor), actor)
            if data.draw(st.booleans(), label="a stranger first"):
                self._refuse_a_stranger(data, sent, kind)
            if data.draw(st.booleans(), label="stale first"):
                self._refuse_stale(sent)
            if name == "sign_off":
                author = next(one for one in self.people if one.pk in self.account.wrote)
                self._refused(Sent(name, author, sent.keywords), NotAllowed)
            self._send(sent)
            if data.draw(st.booleans(), label="at once again"):
                self._again(data, sent)

    def _made(self, name: str, hand: Hand, actor: Staff) -> Sent:
        keywords = KINDS[name].make(hand)
        if name not in {"void_person"}:
            keywords["case_id"] = self.account.case_id
        if "words" not in keywords and "note" not in keywords:
            keywords["reason"] = "Noted in the walk"
        return Sent(name, actor, keywords)

    def _call(self, sent: Sent, *, key: Any = None) -> Any:
        facts = RequestFacts(source="page", request_id=str(new_id()), request_key=key)
        token = current_request.set(facts)
        try:
            actor = Staff.objects.get(pk=sent.actor.pk)
            return KINDS[sent.kind].function(actor, **sent.keywords)
        finally:
            current_request.reset(token)

    def _send(self, sent: Sent) -> None:
        kind, keywords = KINDS[sent.kind], sent.keywords
        before = {key: row.version for key, row in self.account.rows.items()}
        with self._told(sent.actor, kind.function.__name__):
            record = self._call(sent, key=sent.key)
        sent.answer = record.pk
        made = (
            keywords[kind.changes or "record_id"]
            if kind.changes or "record_id" in keywords
            else record.pk
        )
        assert record.pk == made
        assert self.account.rows[made].version == before.get(made, 0) + 1
        self._kept(record, keywords)
        self.account.sent.append(sent)
        DONE[sent.kind] += 1
        if kind.label in AUTHORS:
            self.account.wrote.add(sent.actor.pk)
        if sent.kind in {"void_transfer", "void_seal"}:
            self.account.gaps.add(self.account.rows[made].columns["item_id"])

    def _kept(self, record: Any, keywords: dict[str, Any]) -> None:
        """Nothing lost: each thing that was entered stands in the record, read anew."""
        fields = {field.name: field for field in record._meta.concrete_fields}
        stands = type(record).objects.get(pk=record.pk)
        for name, value in keywords.get("entry", {}).items():
            if name in fields and isinstance(value, str) and value:
                was, now = fields[name].to_python(value), getattr(stands, name)
                # A line stays one line: a pasted break is a blank there.
                text = isinstance(was, str)
                assert (now.split() == was.split()) if text else (now == was), name

    def _refuse_a_stranger(self, data: Any, sent: Sent, kind: Kind) -> None:
        strangers = [
            one for one in self.people if one not in self._those_who(kind.label, all_=True)
        ]
        if strangers:
            stranger = data.draw(st.sampled_from(strangers), label="stranger")
            self._refused(Sent(sent.kind, stranger, sent.keywords), NotAllowed, NotKnown)

    def _refuse_stale(self, sent: Sent) -> None:
        """A version that is not the one that stands, where the act reads one."""
        version = sent.keywords.get("version", 0)
        if version:
            stale = {**sent.keywords, "version": version - 1}
            if version == 1:
                stale["version"] = 2
            self._refused(Sent(sent.kind, sent.actor, stale), StaleRecord)

    def _again(self, data: Any, sent: Sent) -> None:
        how = data.draw(
            st.sampled_from(["same", "other", "no key", "no key, other", "other person"]),
            label="again",
        )
        other = Sent(sent.kind, sent.actor, other_words(sent.keywords), key=sent.key)
        with self._nothing_changes():
            if how == "same":
                assert self._call(sent, key=sent.key).pk == sent.answer
            elif how == "other":
                with pytest.raises(Conflict):
                    self._call(other, key=sent.key)
            elif how == "other person":
                somebody = data.draw(
                    st.sampled_from([one for one in self.people if one != sent.actor])
                )
                with pytest.raises((Conflict, NotAllowed, NotKnown)):
                    self._call(Sent(sent.kind, somebody, sent.keywords), key=sent.key)
            else:
                try:
                    answer = self._call(sent if how == "no key" else other)
                except OfficeError:
                    return
                # Where no key holds the request, why it was done may be said anew; what was not.
                what = [{**each.keywords, "reason": ""} for each in (sent, other)]
                assert how == "no key" or what[0] == what[1], "other words were answered as saved"
                assert answer.pk == sent.answer

    def _refused(self, sent: Sent, *errors: type[OfficeError]) -> None:
        with self._nothing_changes(), pytest.raises(errors):
            self._call(sent, key=sent.key)

    # What must be true

    @property
    def _letter(self) -> str:
        return LETTERS[self.account.state]

    def _those_who(self, label: str, now: str = "", *, all_: bool = False) -> list[Staff]:
        may = EXPECTED[label]
        found = [
            one for one in self.people
            if any(role in may and now in may[role] for role in ROLES[one.pk])
        ]  # fmt: skip
        if label in AUTHORS and not all_:
            return [one for one in found if one != self.reviewer]
        if label == "sign the peer review" and not all_:
            return [self.reviewer]
        return found

    @contextmanager
    def _busy(self) -> Iterator[None]:
        self.under_way = True
        yield
        self.under_way = False

    @contextmanager
    def _nothing_changes(self) -> Iterator[None]:
        before = _last_event()
        yield
        assert _last_event() == before

    @contextmanager
    def _told(self, actor: Staff, act: str) -> Iterator[None]:
        """Every change of what follows is this person's act, and one act."""
        before = _last_event()
        yield
        events = list(AuditEvent.objects.filter(pk__gt=before).order_by("pk"))
        said = {(event.actor_id, event.act) for event in events}
        assert said == {(actor.pk, act)}
        assert len({event.transaction for event in events}) == 1
        for event in events:
            if "version" in event.changes:
                assert event.case_id == self.account.case_id
                self.account.take_over(event)
        self.account.told.append((str(actor), words.act_words(act)))

    def teardown(self) -> None:
        """At the end, the whole file is compared with the account."""
        if self.under_way:
            return
        self._history_is_complete()
        self._rows_are_those_of_the_account()
        self._custody_holds()

    def _history_is_complete(self) -> None:
        told, before = [], None
        while True:
            page = queries.case_history(self.account.case_id, before=before)
            told += [(act.who, act.what) for act in page.acts]
            before = page.next_before
            if before is None:
                break
        assert told[::-1] == self.account.told

    def _rows_are_those_of_the_account(self) -> None:
        columns = {
            model._meta.db_table: "id" if model is Case else "case_id"
            for model in apps.get_models()
            if issubclass(model, Record)
            and (model is Case or any(f.name == "case" for f in model._meta.concrete_fields))
        }
        stands = _rows(columns, self.account.case_id)
        assert {key: row["version"] for key, row in stands.items()} == {
            str(key): row.version for key, row in self.account.rows.items()
        }
        for key, row in self.account.rows.items():
            for name, value in row.columns.items():
                if name not in UNSAID:
                    assert stands[str(key)][name] == value, f"{row.table}.{name}"

    def _custody_holds(self) -> None:
        case = Case.objects.get(pk=self.account.case_id)
        for each in custody_record(case):
            row = self.account.rows[each.item.pk]
            assert each.chain.holder == holder(self.account, row)
            if str(each.item.pk) not in self.account.gaps:
                assert each.chain.unbroken, each.chain.gaps


ROLES: dict[Any, list[str]] = {}
DONE: Counter[str] = Counter()
UNSAID = {"changed_at", "created_at", "changed_by_id", "created_by_id"}


def _last_event() -> int:
    # Asked twice an act, so without an object of it.
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT coalesce(max(id), 0) FROM {AuditEvent._meta.db_table}")
        return int(cursor.fetchone()[0])


def _rows(columns: dict[str, str], case_id: Any) -> dict[str, Any]:
    """Read what stands of a case in several tables: for each, the column with the case's key."""
    each = " UNION ALL ".join(
        f"SELECT id, to_jsonb(t) FROM {table} t WHERE {column} = %(case)s"
        for table, column in columns.items()
    )
    with connection.cursor() as cursor:
        cursor.execute(each, {"case": case_id})
        return {
            str(key): json.loads(row) if isinstance(row, str) else row
            for key, row in cursor.fetchall()
        }


def walk(people: list[Staff]) -> type[CaseWalk]:
    """Return the walk of these people."""
    ROLES.update({one.pk: sorted(one.roles) for one in people})
    return type("Walk", (CaseWalk,), {"people": people, "reviewer": people[3]})


def test_nothing_is_lost_or_done_twice_whoever_does_what_in_whatever_order(monkeypatch):
    monkeypatch.setattr(queries, "ACTS_A_PAGE", 7)
    people = [
        make_staff(Role.INVESTIGATOR, name="L. Quill"),
        make_staff(Role.PATHOLOGIST, name="I. Vasko", credentials="MD"),
        make_staff(Role.PATHOLOGIST, name="E. Lind", credentials="MD"),
        make_staff(Role.PATHOLOGIST, name="M. Thorne", credentials="MD"),
        make_staff(Role.SUPERVISOR, name="B. Ashdown"),
        make_staff(Role.RECORDS_CLERK, name="R. Ostrander"),
        make_staff(Role.EVIDENCE_TECHNICIAN, name="D. Renn"),
        make_staff(Role.ADMINISTRATOR, name="A. Pell"),
    ]
    run_state_machine_as_test(
        walk(people),
        settings=hypothesis.settings(
            max_examples=WIDE or 10,
            stateful_step_count=60 if WIDE else 40,
            derandomize=not WIDE,
            deadline=None,
            database=None,
            # Shrinking a walk takes minutes; the steps that led to a failure are printed anyway.
            phases=[hypothesis.Phase.generate],
            suppress_health_check=list(hypothesis.HealthCheck),
            print_blob=bool(WIDE),
        ),
    )
    # A control of the walk itself: it comes to nearly every kind of act.
    assert len(set(KINDS) - set(DONE)) <= 4, sorted(set(KINDS) - set(DONE))
