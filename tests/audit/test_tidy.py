"""A line stays one line and nothing turns it round, whichever way it came in."""

from __future__ import annotations

import json

import pytest
from django.apps import apps
from django.db import models
from hypothesis import given
from hypothesis import strategies as st

from cases.models import Person
from evidence.intake.models import PhotographUpload
from evidence.photographs.models import Photograph
from me_office.accounts.roles import Role
from me_office.audit.errors import Refused
from me_office.audit.ids import new_id
from me_office.audit.models import Record
from me_office.audit.records import require_reason
from me_office.audit.tidy import BREAKS, TURNS, lines, one_line, tidy
from tests.builders import make_case, make_staff
from tests.evidence.pictures import picture_bytes
from tests.evidence.tus import Sender

# A name that reads "exe.gpj" turned round shows as an innocent picture.
TURNED = "holiday\u202egpj.exe\u2066\nnext\x00line"


@pytest.mark.parametrize(
    "sign", sorted(TURNS | BREAKS | {"\x00", "\x07", "\x1b", "\x7f", "\ud800"})
)
def test_no_such_sign_stays_in_a_line(sign):
    cleaned = one_line(f"a{sign}b{sign}")
    assert sign not in cleaned
    assert cleaned in {"ab", "a b"}
    assert (cleaned == "a b") is (sign in BREAKS)


@pytest.mark.parametrize("sign", sorted(TURNS | {"\x00", "\x1b", "\ud800"}))
def test_lines_keep_their_breaks_and_nothing_unseen(sign):
    assert lines(f"one{sign}\r\ntwo{sign}\rthree\tx") == "one\ntwo\nthree\tx"


@pytest.mark.parametrize(
    "text", ["Ωμέγα Иван 李", "שלום", "سلام ۱۲", "e\u0301", "👩‍⚕️", "12 × 3 cm – “so”"]
)
def test_every_script_stays_as_it_is(text):
    assert one_line(text) == lines(text) == text


@given(st.text())
def test_cleaning_twice_changes_nothing(text):
    assert one_line(one_line(text)) == one_line(text)
    assert lines(lines(text)) == lines(text)
    assert not set(one_line(text)) & (TURNS | BREAKS)


def test_every_line_of_every_record_is_cleaned():
    checked = 0
    for model in apps.get_models():
        if not issubclass(model, Record):
            continue
        record = model()
        names = [
            field.attname
            for field in model._meta.concrete_fields
            if type(field) is models.CharField and not field.choices and not field.primary_key
        ]
        for name in names:
            setattr(record, name, TURNED)
        tidy(record)
        for name in names:
            assert getattr(record, name) == "holidaygpj.exe nextline", (model, name)
            checked += 1
    assert checked > 60


@pytest.mark.django_db
def test_the_page_and_the_api_clean_alike(client):
    case, quill = make_case(), make_staff(Role.INVESTIGATOR)
    client.force_login(quill)
    body = {"id": str(new_id()), "version": 0, "part": "witness", "name": "Ann\u202e Prowse\nPell"}
    schema_path = f"/api/cases/{case.pk}/people/"
    answer = client.post(schema_path, json.dumps(body), content_type="application/json")
    again = client.post(schema_path, json.dumps(body), content_type="application/json")
    assert (answer.status_code, again.status_code) == (201, 201), answer.content
    assert [one.name for one in Person.objects.all()] == ["Ann Prowse Pell"]


@pytest.mark.django_db
def test_a_file_name_of_an_upload_is_one_line(client):
    client.force_login(make_staff(Role.PATHOLOGIST))
    sender = Sender(client, make_case(), picture_bytes(), name=TURNED.replace("\ud800", ""))
    assert sender.begin().status_code == 201
    assert PhotographUpload.objects.get().name == "holidaygpj.exe nextline"
    sender.send(0)
    assert sender.take_in().status_code == 201
    assert Photograph.objects.get().original_name == "holidaygpj.exe nextline"


@pytest.mark.parametrize("reason", ["", "  ", "\u200e", " \u2066\u2069\n", "\x00"])
def test_a_reason_of_which_nothing_is_kept_is_none(reason):
    with pytest.raises(Refused) as refused:
        require_reason(reason, field="why")
    assert refused.value.field == "why"


def test_a_reason_is_returned_as_it_is_kept():
    assert require_reason(" Label\r\nread\u202e again ") == "Label\nread again"
