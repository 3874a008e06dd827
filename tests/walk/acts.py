"""What people do to a case in the walk: who may, what it needs, and what is sent."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import UUID

from hypothesis import strategies as st

from cases import actions as cases
from cases.certification.actions import state_cause_and_manner
from cases.court import actions as court
from cases.packets.actions import request_packet
from cases.review import actions as review
from cases.review.reported import from_outside
from evidence.custody import actions as custody
from evidence.photographs import actions as photograph_actions
from evidence.specimens import actions as specimen_actions
from findings import actions as findings
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id
from tests.cases.entries import received, seen_at_scene
from tests.evidence.items import specimen_entry
from tests.evidence.pictures import add, described, picture_bytes
from tests.findings.builders import a_mark
from tests.packets.builders import asked_for
from tests.walk.hand import Hand, Kind, Make, Needs
from tests.walk.model import Account, Row

SCENE, RECEIPT, KIN = "record the scene", "record the body's receipt", (
    "record next of kin and their notification"
)  # fmt: skip
EXAMINE, CERTIFY = "record the examination and its findings", "state cause and manner"
PHOTOGRAPH, SPECIMEN = "add or describe photographs", "take or describe specimens"
CUSTODY, WRITE = (
    "record seals and custody transfers",
    "write the report or send it to review",
)
REVIEW, SIGN = "comment on the draft or send it back", "sign the peer review"
AMEND_SIGNED, REQUEST = "add an addendum or amendment", "log or answer requests and subpoenas"
PACKET = "build a release packet"

FINDING, MARK, LAYER = "findings_finding", "findings_mark", "findings_layerfinding"
PHOTO, LINK, ITEM = "evidence_photograph", "evidence_photographfinding", "evidence_item"
TRANSFER, SEAL, SPECIMENS = "custody_transfer", "custody_seal", "evidence_specimen"
COMMENT, ASKED, PACKETS = "review_reviewcomment", "court_recordsrequest", "packets_packet"
PERSON, DRAFT = "cases_person", "review_reportdraft"


def add_photograph(
    actor: Staff, *, case_id: UUID, record_id: UUID, content: bytes, entry: Any, reason: str = ""
) -> Any:
    """Send a file anew each time, as a browser does."""
    from cases.models import Case

    case = Case.objects.get(pk=case_id)
    return add(actor, case, content, record_id=record_id, **entry)


def _one_of(table: str, key: str = "record_id", **entry: Any) -> Callable[[Hand], dict[str, Any]]:
    """Return the version and key of the one row of its kind that a case has."""

    def make(hand: Hand) -> dict[str, Any]:
        there = hand.account.standing(table)
        version, pk = (there[0].version, there[0].key) if there else (0, new_id())
        return {key: pk, "version": version}

    return make


def _scene(hand: Hand) -> dict[str, Any]:
    position = hand.draw(st.sampled_from(["supine", "prone", "hanging"]))
    said = seen_at_scene(position=position, clothing=hand.words())
    return _one_of("cases_scene")(hand) | {"entry": said}


def _receipt(hand: Hand) -> dict[str, Any]:
    entry = received(kept_at=hand.words().replace("\n", " "))
    return _one_of("cases_bodyreceipt")(hand) | {"entry": entry}


def _person(part: str) -> Make:
    def make(hand: Hand) -> dict[str, Any]:
        name = hand.words().replace("\n", " ")
        entry = {"part": part, "name": name, "relation": "neighbor"}
        return {"record_id": new_id(), "version": 0, "entry": entry}

    return make


def _changed(table: str, key: str, entry: Callable[[Hand], dict[str, Any]], **also: Any) -> Make:
    def make(hand: Hand) -> dict[str, Any]:
        row = hand.one(hand.account.standing(table, **also))
        return {key: row.key, "version": row.version, "entry": entry(hand)}

    return make


def _voided(table: str, key: str, **also: Any) -> Make:
    def make(hand: Hand) -> dict[str, Any]:
        row = hand.one(hand.account.standing(table, **also))
        return {key: row.key, "version": row.version}

    return make


def _have(table: str, **also: Any) -> Needs:
    return lambda account: account.standing(table, **also)


def _finding(hand: Hand) -> dict[str, Any]:
    marks = [a_mark() for _ in range(hand.draw(st.integers(0, 2)))]
    entry = {"klass": "injury", "term": "Contusion", "colour": hand.words()[:30]}
    return {"record_id": new_id(), "entry": entry, "marks": marks}


def _mark(hand: Hand) -> dict[str, Any]:
    point = [-72.0 + hand.draw(st.integers(0, 5)), 290.0]
    return {"view": "anterior", "kind": "point", "points": [point]}


def _bare_findings(account: Account) -> list[Row]:
    """Findings whose first layer nobody described."""
    taken = {row.columns["finding_id"] for row in account.standing(LAYER)}
    return [row for row in account.standing(FINDING) if str(row.key) not in taken]


def _layer(hand: Hand) -> dict[str, Any]:
    finding = hand.one(_bare_findings(hand.account))
    entry = {"layer": "subcutis", "examined": True, "found": hand.words()}
    return {"record_id": new_id(), "finding_id": finding.key, "entry": entry}


def _photograph(hand: Hand) -> dict[str, Any]:
    number = sum(row.table == PHOTO for row in hand.account.rows.values()) + 1
    at = hand.account.moment()
    entry = described(taken_at=at, received_at=hand.account.moment(), shows=hand.words())
    return {"record_id": new_id(), "content": picture_bytes(number), "entry": entry}


def _unlinked(account: Account) -> list[tuple[Row, Row]]:
    linked = {
        (row.columns["photograph_id"], row.columns["finding_id"]) for row in account.standing(LINK)
    }
    return [
        (photo, finding)
        for photo in account.standing(PHOTO)
        for finding in account.standing(FINDING)
        if (str(photo.key), str(finding.key)) not in linked
    ]


def _link(hand: Hand) -> dict[str, Any]:
    photo, finding = hand.draw(st.sampled_from(_unlinked(hand.account)))
    return {"record_id": new_id(), "photograph_id": photo.key, "finding_id": finding.key}


def _specimen(hand: Hand) -> dict[str, Any]:
    record_id, now = new_id(), hand.account.moment
    entry = specimen_entry(
        hand.actor,
        seal_number=record_id.hex,
        collected_at=now(),
        handed_over_at=now(),
        container=hand.words().replace("\n", " "),
    )
    return {"record_id": record_id, "entry": entry}


def holder(account: Account, item: Row) -> str:
    """Return who has an item, read off the transfers that stand."""
    there = account.standing(TRANSFER, item_id=str(item.key))
    last = max(there, key=lambda row: row.columns["at"], default=None)
    return last.columns["to_party"] if last else ""


def closing(account: Account, item: Row) -> list[Row]:
    """Return the seals that close an item now."""
    seals = account.standing(SEAL, item_id=str(item.key))
    return [seal for seal in seals if seal.columns.get("broken_at") is None]


def _transfer(hand: Hand) -> dict[str, Any]:
    item = hand.one(hand.account.standing(ITEM))
    state = "intact" if closing(hand.account, item) else "none"
    if state == "none" and hand.account.standing(SEAL, item_id=str(item.key)):
        state = "broken"
    places = ["Laboratory", "Refrigerator 2", "Locker 9", "Courier"]
    elsewhere = [place for place in places if place != holder(hand.account, item)]
    entry = {
        "from_party": "" if holder(hand.account, item) else "Somebody",
        "to_party": hand.draw(st.sampled_from(elsewhere)),
        "at": hand.account.moment(),
        "place": "Loading dock",
        "purpose": "storage",
        "seal_state": state,
    }
    return {"record_id": new_id(), "item_id": item.key, "version": item.version, "entry": entry}


def _open_items(account: Account) -> list[Row]:
    return [
        item
        for item in account.standing(ITEM, kind="specimen")
        if not closing(account, item)
    ]  # fmt: skip


def _seal(hand: Hand) -> dict[str, Any]:
    item, key = hand.one(_open_items(hand.account)), new_id()
    entry = {"number": key.hex, "applied_at": hand.account.moment()}
    return {"record_id": key, "item_id": item.key, "version": item.version, "entry": entry}


def _closed(account: Account) -> list[Row]:
    return [
        seal
        for item in account.standing(ITEM, kind="specimen")
        for seal in closing(account, item)
    ]  # fmt: skip


def _break(hand: Hand) -> dict[str, Any]:
    seal = hand.one(_closed(hand.account))
    entry = {"broken_at": hand.account.moment(), "broken_why": "Opened for analysis"}
    return {"seal_id": seal.key, "version": seal.version, "entry": entry}


def _cause(hand: Hand) -> dict[str, Any]:
    manner = hand.draw(st.sampled_from(["accident", "undetermined"]))
    cause = "Blunt force injuries, " + hand.words().replace("\n", " ")
    return _one_of("certification_certification")(hand) | {
        "entry": {"cause_a": cause, "manner": manner}
    }


def _report(hand: Hand) -> dict[str, Any]:
    entry = {"opinion": hand.words(), "history": hand.words(), "summary": hand.words()}
    return _one_of("review_report")(hand) | {"entry": entry}


def _submit(hand: Hand) -> dict[str, Any]:
    report = hand.account.standing("review_report")[0]
    # As the page offers it, box by box.
    gaps = [gap.key for gap in from_outside(hand.account.case_id).not_available]
    sent = {"record_id": new_id(), "version": report.version, "note": hand.words()}
    return sent | {"acknowledged": gaps}


def _may_submit(account: Account) -> bool:
    answered = all(row.columns.get("answered_at") for row in account.standing(COMMENT))
    return bool(account.standing("review_report")) and answered


def newest_draft(account: Account) -> Row | None:
    """Return the draft that was sent last."""
    drafts = account.standing(DRAFT)
    return max(drafts, key=lambda row: int(row.columns["number"]), default=None)


def _decision(signs: bool) -> Make:
    def make(hand: Hand) -> dict[str, Any]:
        draft = newest_draft(hand.account)
        assert draft is not None
        sha256 = {"sha256": draft.columns["sha256"]} if signs else {}
        common = {"record_id": new_id(), "draft_id": draft.key}
        return {**common, **sha256, "words": hand.words()}

    return make


def _comment(hand: Hand) -> dict[str, Any]:
    draft = newest_draft(hand.account)
    assert draft is not None
    said = {"passage": "opinion", "comment": hand.words()}
    return {"record_id": new_id(), "draft_id": draft.key, **said}


def _answer(hand: Hand) -> dict[str, Any]:
    row = hand.one(hand.account.standing(COMMENT))
    return {"comment_id": row.key, "version": row.version, "answer": hand.words()}


def _addendum(hand: Hand) -> dict[str, Any]:
    entry = {"kind": "addendum", "text": hand.words(), "why": "Result came in"}
    return {"record_id": new_id(), "entry": entry}


def _log(hand: Hand) -> dict[str, Any]:
    entry = asked_for(asks_for=hand.words(), cause_number=f"26-{new_id().hex[-6:]}")
    return {"record_id": new_id(), "entry": entry}


def _free_requests(account: Account) -> list[Row]:
    busy = {row.columns["request_id"] for row in account.standing(PACKETS)}
    return [row for row in account.standing(ASKED, state="open") if str(row.key) not in busy]


def _packet(hand: Hand) -> dict[str, Any]:
    asked = hand.one(_free_requests(hand.account))
    entry = {"with_photographs": hand.draw(st.booleans()), "with_history": True}
    return {"record_id": new_id(), "request_id": asked.key, "entry": entry}


def _text(name: str, cut: int = 200) -> Callable[[Hand], dict[str, Any]]:
    return lambda hand: {name: hand.words().replace("\n", " ")[:cut]}


def _after_draft(account: Account) -> bool:
    return newest_draft(account) is not None


WRITING: dict[str, Kind] = {
    "record_scene": Kind(cases.record_scene, SCENE, _scene),
    "receive_body": Kind(cases.receive_body, RECEIPT, _receipt),
    "witness": Kind(cases.record_person, SCENE, _person("witness")),
    "kin": Kind(cases.record_person, KIN, _person("next of kin")),
    "change witness": Kind(
        cases.record_person, SCENE,
        _changed(PERSON, "record_id", _text("phone", 20), part="witness"),
        _have(PERSON, part="witness"), "record_id"),
    "change kin": Kind(
        cases.record_person, KIN, _changed(PERSON, "record_id", _text("relation", 40),
        part="next of kin"), _have(PERSON, part="next of kin"), "record_id"),
    "void_person": Kind(
        cases.void_person, SCENE, _voided(PERSON, "record_id"), _have(PERSON), "record_id"),
    "record_finding": Kind(findings.record_finding, EXAMINE, _finding),
    "change_finding": Kind(
        findings.change_finding, EXAMINE, _changed(FINDING, "finding_id", _text("shape", 40)),
        _have(FINDING), "finding_id"),
    "void_finding": Kind(
        findings.void_finding, EXAMINE, _voided(FINDING, "finding_id"),
        lambda account: len(account.standing(FINDING)) > 1, "finding_id"),
    "place_mark": Kind(
        findings.place_mark, EXAMINE, lambda hand: {
            "record_id": new_id(), "finding_id": hand.one(hand.account.standing(FINDING)).key,
            "entry": _mark(hand)}, _have(FINDING)),
    "move_mark": Kind(
        findings.move_mark, EXAMINE, _changed(MARK, "mark_id", _mark), _have(MARK), "mark_id"),
    "void_mark": Kind(
        findings.void_mark, EXAMINE, _voided(MARK, "mark_id"), _have(MARK), "mark_id"),
    "record_layer": Kind(findings.record_layer, EXAMINE, _layer, _bare_findings),
    "change_layer": Kind(
        findings.change_layer, EXAMINE, _changed(LAYER, "layer_id", _text("found")),
        _have(LAYER), "layer_id"),
    "void_layer": Kind(
        findings.void_layer, EXAMINE, _voided(LAYER, "layer_id"), _have(LAYER), "layer_id"),
    "add_photograph": Kind(add_photograph, PHOTOGRAPH, _photograph),
    "describe_photograph": Kind(
        photograph_actions.describe_photograph, PHOTOGRAPH,
        _changed(PHOTO, "photograph_id", _text("shows")), _have(PHOTO), "photograph_id"),
    "void_photograph": Kind(
        photograph_actions.void_photograph, PHOTOGRAPH, _voided(PHOTO, "photograph_id"),
        _have(PHOTO), "photograph_id"),
    "link_finding": Kind(photograph_actions.link_finding, PHOTOGRAPH, _link, _unlinked),
    "unlink_finding": Kind(
        photograph_actions.unlink_finding, PHOTOGRAPH, _voided(LINK, "link_id"), _have(LINK),
        "link_id"),
    "take_specimen": Kind(specimen_actions.take_specimen, SPECIMEN, _specimen),
    "describe_specimen": Kind(
        specimen_actions.describe_specimen, SPECIMEN,
        _changed(SPECIMENS, "specimen_id", _text("container", 60)), _have(SPECIMENS),
        "specimen_id"),
    "void_specimen": Kind(
        specimen_actions.void_specimen, SPECIMEN, _voided(SPECIMENS, "specimen_id"),
        _have(SPECIMENS), "specimen_id"),
    "record_transfer": Kind(custody.record_transfer, CUSTODY, _transfer, _have(ITEM)),
    "void_transfer": Kind(
        custody.void_transfer, CUSTODY, _voided(TRANSFER, "transfer_id"), _have(TRANSFER),
        "transfer_id"),
    "apply_seal": Kind(custody.apply_seal, CUSTODY, _seal, _open_items),
    "break_seal": Kind(custody.break_seal, CUSTODY, _break, _closed, "seal_id"),
    "void_seal": Kind(
        custody.void_seal, CUSTODY, _voided(SEAL, "seal_id", kind="numbered"),
        _have(SEAL, kind="numbered"), "seal_id"),
    "state_cause_and_manner": Kind(state_cause_and_manner, CERTIFY, _cause),
    "write_report": Kind(review.write_report, WRITE, _report),
    "add_addendum": Kind(review.add_addendum, AMEND_SIGNED, _addendum),
    "log_request": Kind(court.log_request, REQUEST, _log),
    "change_request": Kind(
        court.change_request, REQUEST, _changed(ASKED, "request_id", _text("party"), state="open"),
        _have(ASKED, state="open"), "request_id"),
    "withdraw_request": Kind(
        court.withdraw_request, REQUEST, _voided(ASKED, "request_id", state="open"),
        _have(ASKED, state="open"), "request_id"),
    "request_packet": Kind(request_packet, PACKET, _packet, _free_requests),
}  # fmt: skip
DECIDING: dict[str, Kind] = {
    "submit_report": Kind(review.submit_report, WRITE, _submit, _may_submit),
    "sign_off": Kind(review.sign_off, SIGN, _decision(True), _after_draft),
    "return_report": Kind(review.return_report, REVIEW, _decision(False), _after_draft),
    "comment_on_passage": Kind(review.comment_on_passage, REVIEW, _comment, _after_draft),
    "answer_comment": Kind(review.answer_comment, WRITE, _answer, _have(COMMENT), "comment_id"),
}
KINDS = WRITING | DECIDING
