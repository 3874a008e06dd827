"""Parts of the body systems decided, templates used, and parts left out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any
from uuid import UUID

from cases.models import Case
from findings.actions import opened, require_reason_after_end
from findings.models import Examination
from findings.organs.actions import weigh_organ
from findings.systems import queries, rules
from findings.systems.blanks import weight_of
from findings.systems.catalogue import PARTS, SYSTEMS, Part, System, is_asked
from findings.systems.models import SystemPart
from findings.systems.rules import Decision, Offered
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Invalid, NotKnown, Refused, StaleRecord, known_of_office
from me_office.audit.fields import set_fields
from me_office.audit.ids import new_id
from me_office.audit.records import require_version, save_new, save_next_version
from me_office.entries import Entry

PART_FIELDS = ("decision", "words", "why")


@action
def decide_part(
    actor: Staff,
    *,
    case_id: UUID,
    part: str,
    record_id: UUID,
    version: int,
    entry: Entry,
    reason: str = "",
) -> SystemPart:
    """Decide one part of a system, or keep what is being worked on; version 0 begins it.

    `entry` takes decision (empty: not decided), words, why and `sentences`: for each sentence that
    was laid, in order, `kept` (true, false or null) and `filled`, values by the blanks' labels. A
    weight goes to the organ weights, where none stands.
    Raises NotKnown, NotAllowed, StaleRecord, Conflict, Refused, Invalid.
    """
    case, examination = opened(actor, case_id)
    of = _known_part(part)
    row = queries.part_for_update(case, part)
    if row is None and version:
        raise NotKnown("There is no such record.")
    if row is not None and version:
        require_version(row, version)
    elif row is not None and row.pk != record_id:
        raise StaleRecord(row)
    sent_again = row is not None and not version
    require_reason_after_end(examination, reason)
    if row is None or sent_again:
        laid = row.sentences if row is not None else []
        row = SystemPart(
            pk=record_id, case=case, examination=examination, part=part, sentences=laid
        )
    said = dict(entry)
    answers = said.pop("sentences", None)
    set_fields(row, said, PART_FIELDS, whole=True)
    offered = _answered(rules.offered_in(row.sentences), answers)
    _say(actor, row, of, offered, examination, reason, weigh=not sent_again)
    # Sent twice with the same content, it is the same record; with another one it is refused.
    return save_next_version(actor, row) if version else save_new(actor, row)


@action
def state_part_negative(
    actor: Staff, *, case_id: UUID, part: str, version: int, reason: str = ""
) -> SystemPart:
    """State the negative of one part in its whole sentences; nothing else of it is printed.

    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    return decide_part(
        actor, case_id=case_id, part=part, record_id=new_id(), version=version,
        entry={"decision": Decision.NEGATIVE.value, "words": "", "why": ""}, reason=reason,
    )  # fmt: skip


@action
def use_template(
    actor: Staff, *, case_id: UUID, system: str, template: str, reason: str = ""
) -> Examination:
    """Lay the sentences of a template before the pathologist; nothing is decided by it.

    They go to the parts of this body that are not decided and have no sentences yet. `template` is
    a key of `queries.templates_for`. Raises NotKnown, NotAllowed, Refused.
    """
    case, examination = opened(actor, case_id)
    of = _known_system(system)
    chosen = known_of_office(
        next((one for one in queries.templates_for(system) if one.key == template), None),
        "template for this system",
    )
    laid = 0
    for part, row in _open_parts(case, of, examination):
        lines = chosen.lays(part)
        if not lines or row.sentences:
            continue
        row.sentences = [Offered(line, template=chosen.title).as_row() for line in lines]
        _save(actor, row)
        laid += 1
    if not laid:
        raise Refused(
            "Every part of this system is decided or has its sentences already.", field="template"
        )
    return examination


@action
def leave_system_out(
    actor: Staff, *, case_id: UUID, system: str, why: str, reason: str = ""
) -> Examination:
    """State of every part of a system that is not decided that it was not examined, and why.

    Raises NotKnown, NotAllowed, Refused, Invalid.
    """
    case, examination = opened(actor, case_id)
    of = _known_system(system)
    require_reason_after_end(examination, reason)
    left = 0
    for part, row in _open_parts(case, of, examination):
        row.decision, row.words, row.why = Decision.NOT_EXAMINED.value, "", why.strip()
        _say(actor, row, part, rules.offered_in(row.sentences), examination, reason)
        _save(actor, row)
        left += 1
    if not left:
        raise Refused("Every part of this system is decided.", field="why")
    return examination


def _open_parts(
    case: Case, system: System, examination: Examination
) -> list[tuple[Part, SystemPart]]:
    """The parts of a system that are asked of this body and not decided, each with its row."""
    rows = {row.part: row for row in queries.parts_of(case)}
    found = []
    for part in system.parts:
        row = rows.get(part.key)
        if row is None and is_asked(part, case.decedent.sex, examination.chart_body):
            row = SystemPart(case=case, examination=examination, part=part.key)
        if row is not None and not row.decision:
            found.append((part, row))
    return found


def _save(actor: Staff, row: SystemPart) -> SystemPart:
    if row._state.adding:
        return save_new(actor, row, own_key=True)
    return save_next_version(actor, row)


def _known_part(part: str) -> Part:
    if part not in PARTS:
        raise NotKnown("There is no such part.")
    return PARTS[part]


def _known_system(system: str) -> System:
    if system not in SYSTEMS:
        raise NotKnown("There is no such system.")
    return SYSTEMS[system]


def _answered(offered: list[Offered], answers: Sequence[Mapping[str, Any]] | None) -> list[Offered]:
    """Return the sentences with what was decided about each; None leaves all as they are."""
    if answers is None:
        return offered
    if len(answers) != len(offered):
        raise Refused(
            f"{len(offered)} sentences were laid for this part; decide about each of them.",
            field="sentences",
        )
    return [
        Offered(
            one.text,
            answer.get("kept"),
            {
                str(label): " ".join(str(value).split())
                for label, value in (answer.get("filled") or {}).items()
                if str(value).strip()
            },
            one.template,
        )
        for one, answer in zip(offered, answers, strict=True)
    ]


def _say(
    actor: Staff,
    row: SystemPart,
    part: Part,
    offered: list[Offered],
    examination: Examination,
    reason: str,
    *,
    weigh: bool = True,
) -> None:
    """Put onto the row what it says; a weight that was entered is kept where weights are kept."""
    weighed = (
        set(queries.weighed_in(row.case)) if any(weight_of(one.text) for one in offered) else set()
    )
    kept = []
    for place, one in enumerate(offered, start=1):
        organ = weight_of(one.text)
        if organ and one.kept and one.filled and organ not in weighed:
            if weigh:
                _weigh(actor, row.case_id, organ, one.filled[one.text.strip("{}")], place, reason)
            weighed.add(organ)
        kept.append(Offered(one.text, one.kept, {}, one.template) if organ else one)
    told = rules.said_of(
        part, row.decision, row.words, row.why, kept,
        weighed=weighed, dissected=_dissected(row.case, examination, part), kind=examination.kind,
    )  # fmt: skip
    if told.wrong:
        raise Invalid({name: [words] for name, words in told.wrong.items()})
    row.said = told.words
    row.sentences = [one.as_row() for one in kept]


def _weigh(actor: Staff, case_id: UUID, organ: str, value: str, place: int, reason: str) -> None:
    try:
        weigh_organ(
            actor, case_id=case_id, record_id=new_id(),
            entry={"organ": organ, "weight_g": value}, reason=reason,
        )  # fmt: skip
    except Invalid as wrong:
        words = " ".join(dict.fromkeys(one for each in wrong.errors.values() for one in each))
        raise Invalid({rules.field_of(place): [words]}) from wrong


def _dissected(case: Case, examination: Examination, part: Part) -> str:
    """What is recorded of the dissection that a negative of this part presupposes."""
    if not any(one.needs for one in part.statements):
        return ""
    row = queries.part_of(case, queries.DISSECTION)
    return queries.dissected_words(examination, row)
