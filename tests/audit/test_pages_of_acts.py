"""The pages of a history together hold every act exactly once, whatever is written meanwhile."""

from __future__ import annotations

import uuid
from dataclasses import dataclass

import pytest
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cases.models import Medication
from me_office.accounts.roles import Role
from me_office.audit import queries
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.audit.test_frame import note_medication
from tests.builders import make_case, make_staff, past_the_triggers

A_PAGE = 3


@dataclass(frozen=True)
class Written:
    """An act: how many events it has, and when (between which pages) it is committed."""

    act: int
    events: int
    committed_before_page: int


@st.composite
def schedules(draw) -> tuple[list[Written], list[int]]:
    """Acts of several events, the order in which all events take their keys, and late commits."""
    acts = [
        Written(number, draw(st.integers(1, 3)), draw(st.sampled_from([0, 0, 0, 1, 2, 3])))
        for number in range(draw(st.integers(0, 14)))
    ]
    turns = [one.act for one in acts for _ in range(one.events)]
    return acts, draw(st.permutations(turns))


@pytest.mark.django_db
@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(schedules())
def test_each_act_is_on_one_page_for_any_interleaving(monkeypatch, schedule):
    acts, turns = schedule
    monkeypatch.setattr(queries, "ACTS_A_PAGE", A_PAGE)
    case_id, base = uuid.uuid4(), 10_000_000
    keys = {act: [base + at for at, turn in enumerate(turns) if turn == act] for act in set(turns)}

    def commit(page: int) -> None:
        now = [one for one in acts if one.committed_before_page == page]
        AuditEvent.objects.bulk_create(
            AuditEvent(
                id=key, at=timezone.now(), transaction=900_000 + one.act, operation="update",
                table="cases_medication", record_id="x", case_id=case_id,
                changes={"name": ["", "b"]},
                act="rename_medication", reason=str(one.act), source="page", database_role="r",
            )
            for one in now for key in keys[one.act]
        )  # fmt: skip

    commit(0)
    seen: list[str] = []
    sizes: list[int] = []
    before, page = None, 0
    while True:
        history = queries.case_history(case_id, before=before)
        sizes.append(len(history.acts))
        for act in history.acts:
            seen.append(act.reason)
            assert len(act.parts) == acts[int(act.reason)].events, "an act is told whole"
        before, page = history.next_before, page + 1
        if before is None:
            break
        commit(page)
    with past_the_triggers():
        AuditEvent.objects.filter(case_id=case_id).delete()
    there = [str(one.act) for one in acts if one.committed_before_page == 0]
    assert len(seen) == len(set(seen)), "no act twice"
    assert set(there) <= set(seen), "none left out that was there when the first page was read"
    assert seen == sorted(seen, key=int, reverse=True), "newest first"
    assert all(size == A_PAGE for size in sizes[:-1])


@pytest.mark.django_db(transaction=True)
def test_acts_that_are_written_at_the_same_time_have_numbers_of_their_own(at_once):
    anna, case = make_staff(Role.INVESTIGATOR), make_case()
    ids = [new_id() for _ in range(4)]
    at_once(
        note_medication, by=[anna] * 4, each=[{"record_id": one} for one in ids],
        case=case, name="Lisinopril",
    )  # fmt: skip
    rows = AuditEvent.objects.filter(table="cases_medication")
    numbers = rows.values_list("transaction", flat=True)
    assert len(set(numbers)) == len(numbers) == 4
    later = note_medication(anna, case=case, record_id=new_id(), name="Later")
    assert AuditEvent.objects.get(record_id=str(later.pk)).transaction > max(numbers)


@pytest.mark.django_db(transaction=True)
def test_an_acts_number_is_not_the_servers_which_begin_again_after_a_restore():
    anna, case = make_staff(Role.INVESTIGATOR), make_case()
    made = note_medication(anna, case=case, record_id=new_id(), name="Lisinopril")
    event = AuditEvent.objects.get(record_id=str(made.pk))
    moment = event.transaction // 1024 / 1_000_000
    assert abs(moment - event.at.timestamp()) < 60
    assert event.transaction < 2**63
    assert Medication.objects.count() == 1


def test_a_page_is_named_by_any_number_that_a_key_may_be():
    assert queries.key_in("1794000000000000123") == 1794000000000000123
    assert queries.key_in("9" * 19) == 2**63 - 1
    for wrong in ("", "-1", "1.0", "9" * 20, "٣", "x"):
        assert queries.key_in(wrong) is None
