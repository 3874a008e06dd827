"""The case file of one invented case: first call, jurisdiction, scene, body, people."""

from __future__ import annotations

from cases.models import (
    BodyReceipt,
    Case,
    Decedent,
    Identification,
    JurisdictionDecision,
    Medication,
    Person,
    ReportOfDeath,
    Scene,
    SceneReading,
)
from cases.rules.case import CaseState
from tests.bench.invented import Death, Words
from tests.bench.plan import PlannedCase
from tests.bench.rows import Book

LOOKS = ("overview", "first_call", "scene", "examination", "photographs", "report", "history")


def write_case_file(book: Book, words: Words, case: PlannedCase, death: Death) -> None:
    """Write everything up to identification."""
    _report_of_death(book, words, case, death)
    if case.state is not CaseState.REPORTED:
        _jurisdiction(book, case)
    if case.is_ours:
        _scene(book, words, case)
        _people(book, words, case)
        _body(book, words, case)
    for number in range(20):
        looker = (case.investigator, case.supervisor, case.pathologist or case.technician)[
            number % 3
        ]
        what = LOOKS[number % len(LOOKS)]
        book.look(case.key, case.after(hours=number * 9 + 1), looker, what)


def _report_of_death(book: Book, words: Words, case: PlannedCase, death: Death) -> None:
    place, family, given = words.address(), words.family(), words.given()
    known = words.chance.random() < 0.96
    book.next_act()
    book.record(
        Case,
        case.reported_at,
        case.investigator,
        act="log_report_of_death",
        id=case.key,
        version=3,
        number=case.number,
        number_year=case.year,
        number_running=case.running,
        state=case.state.value,
        heading=death.heading,
        restricted=case.restricted,
        reported_at=case.reported_at,
        place_of_death=place,
        investigator_id=case.investigator.pk,
        pathologist_id=case.pathologist.pk if case.pathologist else None,
        signed_at=case.after(days=24) if case.state is CaseState.SIGNED else None,
    )
    book.record(
        Decedent,
        case.reported_at,
        case.investigator,
        act="log_report_of_death",
        case_id=case.key,
        family_name=family if known else "",
        given_names=given if known else "",
        working_name="" if known else f"Unknown person, {place}",
        sex=words.chance.choice(["female", "male", "male"]),
        age_years=words.chance.randint(18, 96),
        home_address=words.address(),
        identity="confirmed" if known else "unknown",
        search_name=f"{given} {family}" if known else f"Unknown person, {place}",
    )
    book.record(
        ReportOfDeath,
        case.reported_at,
        case.investigator,
        act="log_report_of_death",
        case_id=case.key,
        called_at=case.reported_at,
        caller_name=words.person(),
        caller_role="deputy",
        caller_agency="Tarn County Sheriff",
        caller_phone="555 0142",
        place_found=place,
        place_kind=death.place_kind,
        circumstances=words.text(3),
        last_alive_certainty="about",
        last_alive_at=case.after(hours=-14),
        found_certainty="exact",
        found_at=case.after(hours=-1),
        found_by=words.person(),
        pronounced_by=words.person(),
        pronounced_at=case.after(minutes=-20),
    )


def _jurisdiction(book: Book, case: PlannedCase) -> None:
    at, outcome = case.after(hours=1), "accepted" if case.is_ours else "declined"
    act = "accept_jurisdiction" if case.is_ours else "decline_jurisdiction"
    book.next_act()
    book.record(
        JurisdictionDecision,
        at,
        case.investigator,
        act=act,
        case_id=case.key,
        outcome=outcome,
        ground="sudden death without a physician",
        why="Nobody who treated the decedent can certify the death.",
        decided_at=at,
        decided_by_id=case.investigator.pk,
    )
    state = [CaseState.REPORTED.value, "open" if case.is_ours else "declined"]
    changes = {"state": state, "number": [None, case.number], "version": [1, 2]}
    _case_changed(book, case, at_hours=1, act=act, changes=changes)


def _case_changed(
    book: Book, case: PlannedCase, *, at_hours: float, act: str, changes: dict[str, list[object]]
) -> None:
    book.event(
        Case,
        case.key,
        case.after(hours=at_hours),
        case.supervisor,
        case_id=case.key,
        act=act,
        operation="update",
        changes=changes,
        reason="As decided at the morning meeting.",
    )


def _scene(book: Book, words: Words, case: PlannedCase) -> None:
    at, by = case.after(hours=2), case.investigator
    if case.state is CaseState.OPEN and case.index % 9 == 4:
        return  # somebody still has to write it
    book.next_act()
    book.record(
        Scene,
        at,
        by,
        act="record_scene",
        case_id=case.key,
        arrived_at=at,
        left_at=case.after(hours=4),
        address=words.address(),
        environment=words.text(2),
        agencies="Tarn County Sheriff",
        position="supine",
        clothing="Shirt, trousers, socks.",
        lividity_where="back",
        lividity_blanching="blanches",
        lividity_seen_at=at,
        rigor="full",
        rigor_where="jaw and arms",
        rigor_seen_at=at,
        narrative=words.text(6),
    )
    for kind, value in (("ambient", 18.5), ("rectal", 29.4)):
        book.record(
            SceneReading,
            at,
            by,
            act="record_scene",
            case_id=case.key,
            kind=kind,
            value_c=value,
            read_at=at,
            method="digital thermometer 4",
        )
    book.record(
        Medication,
        at,
        by,
        case_id=case.key,
        name="Lisinopril",
        strength="10 mg",
        directions="one a day",
        quantity_found=22,
        where_found="bathroom",
    )


def _people(book: Book, words: Words, case: PlannedCase) -> None:
    told = None if case.state is CaseState.OPEN and case.index % 4 == 1 else case.after(hours=6)
    book.next_act()
    for part, notified_at in (("next of kin", told), ("witness", None)):
        book.record(
            Person,
            case.after(hours=5),
            case.investigator,
            act="record_person",
            case_id=case.key,
            part=part,
            name=words.person(),
            relation="sister" if part == "next of kin" else "neighbor",
            phone="555 0177",
            statement=words.text(2),
            notified_at=notified_at,
            notified_by_id=case.investigator.pk if notified_at else None,
        )


def _body(book: Book, words: Words, case: PlannedCase) -> None:
    at = case.after(hours=7)
    if case.state is CaseState.OPEN and case.index % 7 == 2:
        return  # not received yet
    book.next_act()
    book.record(
        BodyReceipt,
        at,
        case.technician,
        act="receive_body",
        case_id=case.key,
        received_at=at,
        received_by_id=case.technician.pk,
        delivered_by=words.person(),
        received_from=words.address(),
        tag_number=f"T{case.index:06d}",
        seal_number=f"B{case.index:06d}",
        seal_state="intact",
        kept_at="Cooler 1, place 4",
    )
    book.next_act()
    book.record(
        Identification,
        case.after(hours=9),
        case.investigator,
        act="record_identification",
        case_id=case.key,
        identity="confirmed",
        method="visual",
        made_by=words.person(),
        relation="sister",
        made_at=case.after(hours=9),
        basis="Seen face to face.",
    )
