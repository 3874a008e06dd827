"""An office is given up: everything out, in formats that need nothing of this software."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from pathlib import Path

import bagit
import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.core.management import CommandError, call_command
from django.db import connection

from me_office.accounts.models import Staff
from me_office.audit.models import AuditEvent
from me_office.upkeep.giving import shapes, writing
from me_office.upkeep.models import GivenOut
from tests.builders import make_case
from tests.evidence.pictures import add, picture_bytes
from tests.packets.builders import signed_case

pytestmark = pytest.mark.django_db(transaction=True)


def give_out(folder: Path) -> str:
    out = io.StringIO()
    call_command("give_out", folder, reason="To the county archive", stdout=out, stderr=out)
    return out.getvalue()


def rows(path: Path) -> list[dict[str, object]]:
    return [json.loads(line) for line in path.read_text().splitlines()]


def test_every_table_goes_out_or_is_left_out_by_name():
    labels = {
        model._meta.label_lower
        for model in apps.get_models(include_auto_created=True)
        if model._meta.managed and not model._meta.proxy
    }
    given = {m._meta.label_lower for m in (*shapes.of_a_case(), *shapes.of_the_office())}
    assert given | shapes.LEFT_OUT.keys() | {"cases.case"} == labels
    assert not given & shapes.LEFT_OUT.keys()
    columns = {field.attname for field in Staff._meta.concrete_fields}
    assert shapes.SECRET["accounts.staff"] <= columns


def test_everything_goes_out_whole_again_only_what_changed_and_the_trail_says_so(
    tmp_path, vasko, monkeypatch
):
    signed = signed_case(pictures=[picture_bytes(1), picture_bytes(2)])
    restricted, plain = make_case(restricted=True), make_case()
    folder = tmp_path / "out"
    copy, left = writing._copy, [1]

    def power_cut(*given):
        # A file of hours, or a store that is waited for, ends no transaction.
        with connection.cursor() as cursor:
            cursor.execute("SHOW idle_in_transaction_session_timeout")
            assert cursor.fetchone() == ("0",)
        left[0] -= 1
        if left[0] < 0:
            raise OSError("power cut")
        return copy(*given)

    with monkeypatch.context() as patch:
        patch.setattr(writing, "_copy", power_cut)
        with pytest.raises(CommandError, match=r"power cut\. Run it again"):
            give_out(folder)
    assert not (folder / "manifest-sha256.txt").exists()
    assert "3 cases, 1 of them restricted; " in give_out(folder)

    bag = bagit.Bag(str(folder))
    assert bag.validate() is True
    there = folder / "data" / "cases" / writing.folder_of(signed)
    with (there / "files.csv").open() as file:
        listed = list(csv.DictReader(file))
    originals = list(signed.photograph_set.all())
    assert len(originals) >= 2
    wanted = {one.file.sha256 for one in originals}
    assert {line["SHA-256"] for line in listed} == wanted
    for line in listed:
        content = (there / line["file"]).read_bytes()
        assert hashlib.sha256(content).hexdigest() == line["SHA-256"]
    history = rows(there / "records" / "audit.auditevent.jsonl")
    assert len(history) == AuditEvent.objects.filter(case_id=signed.pk).count()
    assert (there / "report.pdf").read_bytes().startswith(b"%PDF-")
    assert json.loads((there / "report.json").read_bytes())
    [case] = rows(folder / "data" / "cases" / writing.folder_of(restricted) / "case.jsonl")
    assert case["id"] == str(restricted.pk)
    staff = rows(folder / "data" / "office" / "accounts.staff.jsonl")
    assert {one["id"] for one in staff} == {str(one.pk) for one in Staff.objects.all()}
    assert not any({"password", "credentials"} & one.keys() for one in staff)
    readme = (folder / "data" / "README.txt").read_text()
    assert "1 of them restricted" in readme
    apart = readme[readme.index("These records stay in the office") :]
    for name in ("rehearsal.ownquestion: work notes", "rehearsal.rehearsalmark: work notes",
                 "exhibits.courtmark\n", "statements.statement\n"):  # fmt: skip
        assert name in apart

    said = AuditEvent.objects.filter(table="upkeep_givenout", act="give_out")
    assert {one.reason for one in said} == {"To the county archive"}
    assert [one.restricted for one in GivenOut.objects.exclude(finished_at=None)] == [1]
    assert GivenOut.objects.filter(finished_at=None).count() == 1  # the interrupted one, too

    lost = originals[0].file
    default_storage.delete(lost.path)
    add(vasko, plain, picture_bytes(9))
    assert " 1 written now" in give_out(folder)  # the other did not change and is whole
    (there / writing.LAST).write_text("0")
    with pytest.raises(CommandError, match="1 files could not be given out"):
        give_out(folder)
    assert "missing in the store" in (there / "not-whole.txt").read_text()
    assert bagit.Bag(str(folder)).validate() is True


def test_a_folder_with_something_else_in_it_is_refused(tmp_path):
    (tmp_path / "letter.txt").write_text("x")
    with pytest.raises(CommandError, match="holds something else"):
        give_out(tmp_path)
    with pytest.raises(CommandError, match="for whom"):
        call_command("give_out", tmp_path / "new", reason=" ")
    assert GivenOut.objects.count() == 0
