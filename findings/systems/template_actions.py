"""The office's templates: added, changed by a new edition, withdrawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from uuid import UUID

from cases.access import Act
from cases.actions.entry import require_for_office
from cases.actions.office import locked_of_office, put_in_place, withdraws_of_office
from findings.organs.models import OrganWeight
from findings.systems import rules
from findings.systems.catalogue import SYSTEMS
from findings.systems.models import SystemTemplate
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Invalid, Refused
from me_office.audit.fields import set_fields
from me_office.audit.records import recorded_before, save_new
from me_office.entries import Entry

TEMPLATE_FIELDS = ("system", "title", "lines", "stands_for_standard")
ORGANS = frozenset(organ for organ, _ in OrganWeight.ORGANS) - {"other"}


@action
def add_system_template(
    actor: Staff, *, record_id: UUID, entry: Entry, reason: str = ""
) -> SystemTemplate:
    """Offer sentences for a system to everybody who examines; `entry` has TEMPLATE_FIELDS.

    Raises NotAllowed, Conflict, Refused, Invalid.
    """
    require_for_office(actor, Act.EXAMINE)
    template = SystemTemplate(pk=record_id)
    _put(template, entry)
    there = recorded_before(template)
    return there or save_new(actor, template, own_key=True)


@action
def change_system_template(
    actor: Staff,
    *,
    template_id: UUID,
    record_id: UUID,
    version: int,
    entry: Entry,
    reason: str = "",
) -> SystemTemplate:
    """Put a new edition in place of a template; what was recorded with the old one stays.

    Raises NotAllowed, NotKnown, StaleRecord, Conflict, Refused, Invalid.
    """
    require_for_office(actor, Act.EXAMINE)
    old = locked_of_office(SystemTemplate, template_id, "template")
    new = SystemTemplate(
        pk=record_id, system=old.system, title=old.title, lines=old.lines,
        stands_for_standard=old.stands_for_standard, replaces=old, number=old.number + 1,
    )  # fmt: skip
    _put(new, {**entry, "system": old.system})
    return put_in_place(actor, old, new, version=version, reason=reason)


void_system_template = withdraws_of_office(
    "void_system_template", SystemTemplate, "template", act=Act.EXAMINE, key="template_id"
)


def _put(template: SystemTemplate, entry: Entry) -> None:
    said = dict(entry)
    if "lines" in said:
        said["lines"] = _tidied(said["lines"])
    set_fields(template, said, TEMPLATE_FIELDS, whole=True)
    if template.system not in SYSTEMS:
        raise Refused("Choose the system.", field="system")
    wrong = rules.wrong_with_lines(SYSTEMS[template.system], template.lines or {}, ORGANS)
    if wrong:
        raise Invalid({name: [words] for name, words in wrong.items()})


def _tidied(lines: Mapping[str, Sequence[str]]) -> dict[str, list[str]]:
    """Each sentence as one line without outer blanks; parts without a sentence are left out."""
    found = {
        part: [tidy for line in rows if (tidy := " ".join(str(line).split()))]
        for part, rows in lines.items()
    }
    return {part: rows for part, rows in found.items() if rows}
