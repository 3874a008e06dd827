"""Who changed a finding or a photograph: with all that belongs to it, and without machines."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from cases.history import belonging
from cases.queries.file import latest_changes
from evidence.measuring import actions as measuring
from evidence.photographs import tasks
from findings import actions
from findings.models import Finding
from me_office.accounts.roles import Role
from me_office.audit import words
from me_office.audit.guard import tables_that
from me_office.audit.ids import new_id
from me_office.audit.queries import case_history
from tests.builders import make_case, make_staff
from tests.evidence.pictures import link_to
from tests.findings.builders import ON_RIGHT_CHEST, make_examination, make_finding
from tests.measuring.pictures import measured, photograph_with_scale

pytestmark = pytest.mark.django_db


@pytest.fixture
def finding(vasko):
    return make_finding(make_examination(by=vasko), by=vasko)


def history(client, person, record):
    client.force_login(person)
    keys = {"case_id": record.case_id, "table": record._meta.db_table, "record_id": record.pk}
    answer = client.get(reverse("history:record-history", kwargs=keys))
    assert answer.status_code == 200
    return answer.content.decode()


def test_a_findings_history_has_layers_marks_photographs_and_measurements(client, vasko, finding):
    common = {"case_id": finding.case_id, "finding_id": finding.pk}
    actions.place_mark(
        vasko, **common, record_id=new_id(),
        entry={"view": "anterior", "kind": "point", "points": [ON_RIGHT_CHEST]},
    )  # fmt: skip
    actions.record_layer(
        vasko, **common, record_id=new_id(),
        entry={"layer": "subcutis", "examined": True, "found": "Bleeding"},
    )  # fmt: skip
    photograph = photograph_with_scale(vasko, finding.case)
    kept = measured(vasko, photograph, finding_id=finding.pk)
    stands = Finding.objects.get()
    measuring.use_measurement(
        vasko, case_id=finding.case_id, measurement_id=kept.pk, record_id=new_id(),
        finding_id=finding.pk, version=stands.version, dimension="length",
    )  # fmt: skip
    link_to(vasko, photograph_with_scale(vasko, finding.case, shade=91), finding)
    told = history(client, vasko, finding)
    for said in ("placed a mark", "recorded a layer", "measured a photograph", "used a measurement",
                 "linked a finding", "recorded a finding"):  # fmt: skip
        assert said in told, said


def test_a_photographs_history_has_what_was_done_in_it_and_no_preview_of_a_persons(
    client, vasko, finding
):
    photograph = photograph_with_scale(vasko, finding.case)
    tasks.derive_images(photograph_id=str(photograph.pk))
    measured(vasko, photograph)
    link_to(vasko, photograph, finding)
    told = history(client, vasko, photograph)
    for said in ("measured a photograph", "linked a finding", "Preview made automatically"):
        assert said in told, said
    assert "added a preview" not in told
    assert "Dr. I. Vasko preview" not in told


@pytest.mark.django_db(transaction=True)
def test_what_workers_do_is_in_the_cases_history_and_in_no_persons(client):
    vasko = make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko")
    photograph = photograph_with_scale(vasko, make_case())
    tasks.derive_images(photograph_id=str(photograph.pk))
    whole = case_history(photograph.case_id).acts
    assert [(act.who, act.what) for act in whole][:2] == [
        ("", "preview made automatically"),
        ("Dr. I. Vasko", "added a photograph"),
    ]
    assert whole[0].roles == ""
    own = case_history(photograph.case_id, by=vasko.pk).acts
    assert [act.what for act in own] == ["added a photograph"]
    assert not any("preview" in change.act for change in latest_changes(photograph.case))
    client.force_login(vasko)
    page = client.get(reverse("history:case-history", kwargs={"case_id": photograph.case_id}))
    assert "Preview made automatically" in page.content.decode()


def test_every_act_of_a_worker_is_told_as_automatic():
    assert set(words.AUTOMATIC) >= {
        f"{step}_{what}"
        for step in ("begin", "finish", "fail")
        for what in ("copy", "redaction", "exhibit_pdf", "packet")
    } | {"add_preview", "fail_preview"}
    assert not set(words.AUTOMATIC) & set(words.WHOLE)
    for act, said in words.AUTOMATIC.items():
        assert words.act_words(act) == said
        assert "automatically" in said or "could not" in said


def test_what_stands_apart_is_a_table_of_records():
    assert set(tables_that("watched")) >= belonging.WHOLES | belonging.APART


def test_a_history_is_read_in_a_fixed_number_of_statements(client, vasko, finding):
    counts = []
    for wanted in (3, 30):
        while finding.marks.count() < wanted:
            actions.place_mark(
                vasko, case_id=finding.case_id, finding_id=finding.pk, record_id=new_id(),
                entry={"view": "anterior", "kind": "point", "points": [ON_RIGHT_CHEST]},
            )  # fmt: skip
        client.force_login(vasko)
        with CaptureQueriesContext(connection) as statements:
            history(client, vasko, finding)
        counts.append(len(statements))
    assert counts[0] == counts[1]
