"""The office's templates: added, changed by a new edition, withdrawn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cases.access import Act
from cases.actions.office import adds_to_office, replaces_edition, withdraws_of_office
from findings.organs.models import OrganWeight
from findings.systems import rules
from findings.systems.catalogue import SYSTEMS
from findings.systems.models import SystemTemplate
from me_office.audit.errors import Invalid, Refused
from me_office.audit.fields import set_fields
from me_office.entries import Entry

TEMPLATE_FIELDS = ("system", "title", "lines", "stands_for_standard")
ORGANS = frozenset(organ for organ, _ in OrganWeight.ORGANS) - {"other"}


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


# Offered to everybody who examines; `entry` has TEMPLATE_FIELDS.
add_system_template = adds_to_office("add_system_template", SystemTemplate, _put, act=Act.EXAMINE)

# What was recorded with the old edition stays.
change_system_template = replaces_edition(
    "change_system_template", SystemTemplate, "template", _put,
    act=Act.EXAMINE, fields=TEMPLATE_FIELDS, fixed="system",
)  # fmt: skip

void_system_template = withdraws_of_office(
    "void_system_template", SystemTemplate, "template", act=Act.EXAMINE, key="template_id"
)
