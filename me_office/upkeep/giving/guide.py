"""What a reader of the folder is told, who has nothing of this software."""

from __future__ import annotations

from django.conf import settings

from me_office.audit.guard import models_that
from me_office.upkeep.giving.shapes import LEFT_OUT, SECRET
from me_office.version import VERSION

TEXT = """All records of {office}

{cases} cases, {restricted} of them restricted to a named team: they are here like the others.
Handle the folder as local law requires for such records. Written by version {version} of the
office's software; nothing of it is needed to read this.

Whether everything is here and unchanged: sha256sum -c manifest-sha256.txt, in the folder above
this one. The folder is a bag as RFC 8493 describes it.

cases.csv             every case with its folder
cases/CASE/           one case
  case.jsonl          its number, state, heading
  records/*.jsonl     everything recorded, a file a kind of record, a record a line of JSON
  records/audit.auditevent.jsonl    its history: every change, by whom, when, why, old and new value
  records/audit.accessevent.jsonl   who looked at it
  report.json         the report's text; as it was frozen, where it was sent to review or signed
  report.pdf          the same for reading (PDF/A), where it was sent to review or signed
  custody.csv, .json  who held each item
  body-chart/, outlines/   the drawings
  files.csv           each file with its SHA-256 and the record it belongs to
  files/              photographs as they were taken, derived and redacted copies, packets, the
                      signed report with its lines numbered
  not-whole.txt       only where a file was missing or altered in the office's own store
office/*.jsonl        what belongs to no case: staff, terms, the list of stored files

A line of JSON has a record's fields. Keys are UUIDs; a field that ends with _id, or is named as
another kind of record is, holds the key of a record of that kind. voided_at says that a record was
withdrawn, void_reason why. Moments are in UTC (ISO 8601); units are in the names (weight_g). Staff
are in office/accounts.staff.jsonl.

These records stay in the office otherwise: no packet and no history that is handed over holds them.
Before the folder is passed on, decide whether they go with it.
{inside}
Left out, because it would be of no use or would let somebody in:
{left_out}
Smaller copies of photographs are not here: they were made of the originals.
"""


def guide(cases: int, restricted: int) -> str:
    """Return the guide."""
    out = [f"  {name}: {why}" for name, why in sorted(LEFT_OUT.items())]
    out += [f"  {name}: {', '.join(sorted(columns))}" for name, columns in sorted(SECRET.items())]
    inside = [f"  {model._meta.label_lower}: work notes" for model in models_that("work_notes")]
    inside += [f"  {model._meta.label_lower}" for model in models_that("stays_inside")]
    return TEXT.format(
        office=settings.OFFICE_NAME, cases=cases, restricted=restricted, version=VERSION,
        inside="\n".join(inside),
        left_out="\n".join(out),
    )  # fmt: skip
