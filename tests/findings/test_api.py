"""The API of the examination: one action an endpoint, the same refusals everywhere."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from findings.models import Examination, Finding
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from tests.builders import make_case, make_staff
from tests.findings.builders import ON_RIGHT_CHEST, a_mark, make_finding

pytestmark = pytest.mark.django_db


@pytest.fixture
def api(examination, client):
    client.force_login(examination.pathologist)
    return Api(client, examination.case_id)


class Api:
    """Calls on one case."""

    def __init__(self, client, case_id):
        self.client, self.case_id = client, case_id

    def __call__(self, verb, path, status, key=None, **body):
        headers = {"Idempotency-Key": str(key)} if key else {}
        answer = getattr(self.client, verb)(
            f"/api/cases/{self.case_id}/{path}",
            body or None,
            content_type="application/json",
            headers=headers,
        )
        assert answer.status_code == status, answer.content
        return answer.json()


def test_an_examination_is_opened_and_recorded(client):
    vasko, case = make_staff(Role.PATHOLOGIST), make_case()
    client.force_login(vasko)
    api = Api(client, case.pk)
    assert api("get", "examination/", 404)["code"] == "not_known"
    entry = {
        "id": str(new_id()),
        "kind": "full autopsy",
        "chart_body": "adult_male",
        "began_at": timezone.now().isoformat(),
    }
    opened = api("post", "examination/", 201, **entry)
    assert api("post", "examination/", 201, **entry)["id"] == opened["id"]
    saved = api("patch", "examination/", 200, version=1, external="Slim build.")
    assert (saved["version"], saved["external"]) == (2, "Slim build.")
    stale = api("patch", "examination/", 409, version=1, external="Other.")
    assert (stale["code"], stale["standing"]["external"]) == ("stale", "Slim build.")
    assert api("patch", "examination/", 422, external="x")["errors"]["version"]
    confirmed = api("post", "examination/negatives/", 200, version=2, statement="external-eyes")
    assert confirmed["external"].endswith("petechiae.")


def test_a_finding_goes_through_its_life(api):
    mark = {"id": str(new_id()), "view": "anterior", "kind": "point", "points": [ON_RIGHT_CHEST]}
    made = api(
        "post", "findings/", 201, id=str(new_id()), klass="injury", term="Contusion", marks=[mark]
    )
    assert made["number"] == 1
    assert made["place_source"] == "derived"
    assert made["marks"][0]["region"] == made["region"]
    assert made["standard_sentence"].startswith("On the right ")
    path = f"findings/{made['id']}/"
    changed = api("patch", path, 200, version=1, seen_as="Blue", reason="washed")
    assert changed["version"] == 2
    assert api("get", path, 200)["seen_as"] == "Blue"
    words = {"shape": "Oval", "margins": "Sharp", "colour": "Red", "pattern": "Bands"}
    words["vital_reaction"] = "Red rim"
    assert words.items() <= api("patch", path, 200, version=2, **words).items()
    assert [one["number"] for one in api("get", "findings/", 200)] == [1]
    assert api("post", f"{path}void/", 422, version=3, reason="")["errors"]["reason"]
    assert api("post", f"{path}void/", 200, version=3, reason="twice")["voided_at"]
    assert api("get", "findings/", 200) == []


@pytest.mark.parametrize(
    ("start", "one", "entry", "change"),
    [
        ("findings/{f}/marks/", "marks/", a_mark(), {"points": [[-70.0, 300.0]]}),
        (
            "findings/{f}/layers/",
            "layers/",
            {"layer": "skin", "examined": True, "found": "not broken"},
            {"layer": "muscle", "found": "abraded"},
        ),
        (
            "findings/{f}/interpretations/",
            "interpretations/",
            {"statement": "a fall", "standing": "not excluded"},
            {"confidence": "possible"},
        ),
        (
            "organ-weights/",
            "organ-weights/",
            {"organ": "liver", "weight_g": "1500"},
            {"seen_as": "smooth"},
        ),
    ],
)
def test_each_part_is_recorded_changed_and_voided(api, examination, start, one, entry, change):
    finding = make_finding(examination)
    key = str(new_id())
    made = api("post", start.format(f=finding.pk), 201, **{**entry, "id": key})
    again = api("post", start.format(f=finding.pk), 201, **{**entry, "id": key})
    assert made["id"] == again["id"] == key
    changed = api("patch", f"{one}{key}/", 200, version=1, **change)
    assert {"version": 2, **change}.items() <= changed.items()
    assert api("patch", f"{one}{key}/", 409, version=1, **change)["code"] == "stale"
    assert api("post", f"{one}{key}/void/", 200, version=2, reason="twice")["void_reason"]


def test_the_organ_weights_are_read(api):
    api("post", "organ-weights/", 201, id=str(new_id()), organ="liver", weight_g="1500")
    assert [row["organ"] for row in api("get", "organ-weights/", 200)] == ["liver"]


def test_a_retry_with_its_key_gets_the_first_answer(api, examination):
    finding, key = make_finding(examination), new_id()
    path = f"findings/{finding.pk}/"
    first = api("patch", path, 200, key=key, version=1, seen_as="Blue")
    again = api("patch", path, 200, key=key, version=1, seen_as="Blue")
    assert (first["version"], again["version"]) == (2, 2)


def test_bad_input_names_its_field(api):
    answer = api("post", "findings/", 422, id=str(new_id()), klass="bruise", term="")
    assert set(answer["errors"]) == {"klass", "term"}
    answer = api(
        "post",
        "findings/",
        422,
        id=str(new_id()),
        klass="injury",
        term="Contusion",
        marks=[{"id": str(new_id()), "view": "anterior", "kind": "point", "points": [[-280, 20]]}],
    )
    assert answer["field"] == "points"


@pytest.mark.parametrize("role", [Role.INVESTIGATOR, Role.SUPERVISOR, Role.RECORDS_CLERK])
def test_others_read_but_do_not_record(client, examination, role):
    client.force_login(make_staff(role))
    api = Api(client, examination.case_id)
    assert api("get", "findings/", 200) == []
    refused = api("post", "findings/", 403, id=str(new_id()), klass="injury", term="Contusion")
    assert refused["code"] == "not_allowed"
    assert not Finding.objects.exists()


def test_a_case_out_of_reach_is_answered_as_one_that_is_not_there(client, examination):
    Examination.objects.get().case.__class__.objects.update(restricted=True)
    client.force_login(make_staff(Role.PATHOLOGIST))
    api = Api(client, examination.case_id)
    assert api("get", "findings/", 404) == Api(client, new_id())("get", "findings/", 404)


def test_reading_is_noted(api, examination):
    api("get", "findings/", 200)
    assert AccessEvent.objects.filter(case_id=examination.case_id, what="findings").exists()


def test_the_number_of_statements_does_not_grow(api, examination):
    def statements(until):
        while Finding.objects.count() < until:
            make_finding(examination, marks=[a_mark()])
        with CaptureQueriesContext(
            connection,
        ) as queries:
            api("get", "findings/", 200)
        return len(queries)

    assert statements(3) == statements(60) <= 15
