"""Nothing of a rehearsal leaves the office: no history, no packet, no byte of it."""

from __future__ import annotations

from typing import Any

import pikepdf
import pytest
from django.urls import reverse

from cases.packets import tasks
from cases.queries.file import latest_changes
from cases.rehearsal import actions
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit import queries
from me_office.audit.guard import tables_that
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import as_person, make_staff
from tests.exhibits.builders import make_exhibit, make_set
from tests.packets.builders import make_clerk, packet_for, signed_case
from tests.packets.reading import squeezed, text_of, unpacked

pytestmark = pytest.mark.django_db
# In every field that a person fills, and what the acts and tables are called.
TELLTALE = (
    "zephyrine", "quixotry", "wombwell", "yttrious", "rehears", "own_question", "ownquestion",
    "mark_answer",
)  # fmt: skip


@pytest.fixture
def rehearsed() -> Any:
    """A signed case that was rehearsed: questions added, changed and withdrawn, answers noted."""
    case = signed_case()
    witness = make_staff(Role.PATHOLOGIST, name="Zephyrine Oddling")
    photograph = case.photograph_set.order_by("number")[0]
    boss = Staff.objects.get(display_name__startswith="M. Thorne")
    trial = make_set(boss, case)
    exhibit = make_exhibit(boss, trial, photograph)
    keys = {"case_id": case.pk, "set_id": trial.pk, "exhibit_id": exhibit.pk}
    entry = {"question": "Quixotry?", "answer": "Wombwell."}
    kept = actions.add_own_question(witness, record_id=new_id(), entry=entry, **keys)
    of = {"case_id": case.pk, "question_id": kept.pk}
    entry = {**entry, "answer": "Wombwell, yttrious."}
    actions.change_own_question(witness, version=1, entry=entry, **of)
    actions.withdraw_own_question(witness, version=2, reason="Yttrious.", **of)
    for question in ("what", "quixotry"):
        actions.mark_answer(witness, record_id=new_id(), question=question, outcome="again", **keys)
    return case, witness, kept, exhibit


def test_no_byte_of_a_rehearsal_is_in_a_packet_made_after_it(rehearsed: Any, tmp_path: Any) -> None:
    case, *_ = rehearsed
    packet = packet_for(case, make_clerk())
    assert tasks.build_packet(request_id=str(packet.pk)) == "made"
    packet.refresh_from_db()
    bag = unpacked(packet, tmp_path)
    assert (bag / "data" / "history.json").stat().st_size > 2000
    for path in (one for one in bag.rglob("*") if one.is_file()):
        content = path.read_bytes().lower()
        assert not [word for word in TELLTALE if word.encode() in content], path.name
    with pikepdf.open(bag / "data" / "report.pdf") as pdf:
        said = squeezed(f"{text_of(pdf)} {pdf.docinfo} {pdf.open_metadata()}").lower()
    assert "lividity" in said
    assert not [word for word in TELLTALE if squeezed(word) in said]


def test_the_history_of_the_case_tells_nothing_of_a_rehearsal(rehearsed: Any) -> None:
    case, witness, *_ = rehearsed
    events = AuditEvent.objects.filter(case_id=case.pk, table__startswith="rehearsal_")
    assert events.count() == 5
    acts = queries.case_history(case.pk).acts
    assert len(acts) > 5
    assert not any("rehears" in act.what or act.who.startswith("Zephyrine") for act in acts)
    assert "Zephyrine Oddling" not in {one["actor_name"] for one in queries.actors_of(case.pk)}
    assert queries.case_history(case.pk, by=witness.pk).acts == []
    assert not any("rehears" in change.act for change in latest_changes(case))
    desk = as_person(make_staff(Role.SUPERVISOR))
    page = desk.get(reverse("history:case-history", args=[case.pk])).content.decode().lower()
    assert not [word for word in TELLTALE if word in page]
    assert "zephyrine" not in str(desk.get(f"/api/cases/{case.pk}/history/").json()).lower()


def test_the_history_of_a_note_is_for_who_wrote_it(rehearsed: Any) -> None:
    case, witness, kept, _ = rehearsed
    page = reverse("history:record-history", args=[case.pk, "rehearsal_ownquestion", kept.pk])
    assert as_person(make_staff(Role.SUPERVISOR)).get(page).status_code == 404
    told = as_person(witness).get(page).content.decode()
    assert "changed a question for rehearsal" in told


def test_every_table_of_the_room_is_one_of_work_notes() -> None:
    of_the_room = [table for table in tables_that("watched") if table.startswith("rehearsal_")]
    assert len(of_the_room) == 2
    assert set(of_the_room) <= set(tables_that("work_notes"))
