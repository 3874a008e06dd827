"""What was decided to be hidden goes out in no other way, and a closed case is told to nobody."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from django.urls import reverse

from cases.answers import contents, tasks
from cases.court.models import RecordsRequest, RequestCase
from cases.decisions import actions as decisions
from cases.decisions import queries
from cases.decisions.models import Enclosure, Reach
from cases.decisions.ready import ReadyItem
from cases.decisions.rules import BY_HAND, ItemKind, Outcome
from cases.models import Case
from cases.review.models import SignedPdf
from evidence.custody.models import Transfer
from evidence.photographs.models import Photograph
from me_office.audit.errors import Refused
from me_office.audit.ids import new_id
from tests.answers.decided import asked_answer, decided_request
from tests.builders import make_case
from tests.packets.builders import make_clerk
from tests.packets.reading import unpacked

pytestmark = pytest.mark.django_db

NAME = "Marla Quince"


def redacted(answer, kind, copy_digest=""):
    """An item that goes out redacted, whose label says what is hidden in it."""
    return ReadyItem(
        kind, answer.case_id, str(answer.case_id), "", f"Interview, {NAME}", Outcome.REDACT, (1,),
        "d" * 64, copy_digest=copy_digest,
    )  # fmt: skip


OTHERS = [one for one in ItemKind if one is not ItemKind.PHOTOGRAPH and one not in BY_HAND]


def test_what_was_named_by_hand_and_redacted_is_told_by_its_kind_alone(answer, tmp_path):
    for kind in sorted(BY_HAND):
        one = redacted(answer, kind)
        asked = {"case": answer.case, "request": answer.request}
        by = make_clerk()
        reach = Reach.objects.create(
            **asked, demand=answer.request.demands.active().first(), kind=kind.value, words=NAME,
            created_by=by, changed_by=by,
        )  # fmt: skip
        one = replace(one, item=str(reach.pk))
        folder, parts = tmp_path / kind.name / "bag", tmp_path / kind.name / "parts"
        folder.mkdir(parents=True)
        parts.mkdir()
        said = {"folder": folder, "parts": parts}
        with pytest.raises(Refused, match="no file is attached") as refused:
            contents.gather(answer, [one], **said)
        assert NAME not in str(refused.value)
        Enclosure.objects.create(
            **asked, reach=reach, file=SignedPdf.objects.get(case=answer.case).file,
            created_by=by, changed_by=by,
        )  # fmt: skip
        got = contents.gather(answer, [one], **said)
        told = [one.title for one in got.documents] + [row[1] for row in got.files]
        assert told
        assert not any("Quince" in words for words in told)
        assert not any("quince" in path.name for path in folder.rglob("*"))


def test_of_what_is_redacted_nothing_but_its_copy_goes_out_whatever_it_is(answer, tmp_path):
    copy = SignedPdf.objects.get(case=answer.case).file
    for kind in OTHERS:
        folder, parts = tmp_path / kind.name / "bag", tmp_path / kind.name / "parts"
        folder.mkdir(parents=True)
        parts.mkdir()
        said = {"folder": folder, "parts": parts}
        got = contents.gather(answer, [redacted(answer, kind, copy.sha256)], **said)
        assert [one.sha256 for one in got.documents] == [copy.sha256], kind
        assert (got.files, got.beside, got.elsewhere) == ([], [], [])
        assert list(folder.iterdir()) == []
        # Its bookmark and the lists name it by its kind: its label may tell what is hidden.
        assert NAME not in got.documents[0].title
        with pytest.raises(Refused, match="no redacted copy") as refused:
            contents.gather(answer, [redacted(answer, kind)], **said)
        assert NAME not in str(refused.value)


@pytest.mark.parametrize("kind", ["report", "custody record", "history"])
def test_without_its_redacted_copy_no_answer_is_asked_for_and_none_is_approved(signed, kind):
    clerk = make_clerk()
    with pytest.raises(Refused, match="no redacted copy of"):
        decided_request(signed, clerk, kinds=(kind,), outcomes={kind: "redact"})
    asked = RecordsRequest.objects.latest("created_at")
    with pytest.raises(Refused, match="no redacted copy of"):
        asked_answer(asked, clerk)


def history_of(signed, tmp_path, kept_back):
    clerk = make_clerk()
    kinds = ("history", kept_back)
    asked = decided_request(signed, clerk, kinds=kinds, outcomes={kept_back: "withhold"})
    answer = asked_answer(asked, clerk)
    assert tasks.build_answer(request_id=str(answer.pk)) == "made"
    answer.refresh_from_db()
    bag = unpacked(answer, tmp_path)
    return json.loads((bag / "data" / "history.json").read_text(encoding="utf-8"))


def test_a_history_beside_a_custody_record_that_is_kept_back_tells_all_but_custody(
    signed, tmp_path
):
    told = {event["table"] for event in history_of(signed, tmp_path, "custody record")}
    assert Transfer._meta.db_table not in told
    # Each record belongs to the case, which is not what is kept back.
    assert {"cases_case", Photograph._meta.db_table} <= told


def test_a_history_beside_a_report_that_is_kept_back_does_not_hold_its_text(signed, tmp_path):
    told = history_of(signed, tmp_path, "report")
    tables = {event["table"] for event in told}
    assert not {one for one in tables if one.startswith("review_report")}
    assert "cases_case" in tables


@pytest.fixture
def with_closed(signed):
    """A request, decided and approved, that asks for a further case which a court has sealed."""
    clerk = make_clerk()
    asked = decided_request(signed, clerk, kinds=("history",))
    further = make_case()
    RequestCase.objects.create(case=further, request=asked, created_by=clerk, changed_by=clerk)
    decisions.note_stop(
        clerk, case_id=further.pk, record_id=new_id(),
        entry={"kind": "sealed", "why": f"Order about {NAME}"},
    )  # fmt: skip
    return asked, further, clerk


def test_of_a_closed_case_nobody_is_told_what_keeps_the_answer_back(with_closed, client):
    asked, further, clerk = with_closed
    client.force_login(clerk)
    page = reverse("answers:ask", args=[asked.case_id, asked.pk])
    assert NAME in client.get(page).content.decode()
    Case.objects.filter(pk=further.pk).update(restricted=True)
    shown = client.get(page).content.decode()
    assert NAME not in shown and further.label not in shown and "named team" in shown
    with pytest.raises(Refused, match="named team") as refused:
        asked_answer(asked, clerk)
    assert NAME not in str(refused.value) and further.label not in str(refused.value)


def test_why_a_build_failed_tells_nothing_of_a_case_that_was_closed_meanwhile(signed):
    clerk = make_clerk()
    asked = decided_request(signed, clerk, kinds=("history",))
    answer = asked_answer(asked, clerk)
    further = make_case()
    RequestCase.objects.create(case=further, request=asked, created_by=clerk, changed_by=clerk)
    Case.objects.filter(pk=further.pk).update(restricted=True)
    assert queries.standing_of(asked).why_not_ready
    assert tasks.build_answer(request_id=str(answer.pk)) == "failed"
    answer.refresh_from_db()
    assert "named team" in answer.failure and further.label not in answer.failure
    assert not answer.runs.exists(), "no page number was given"
