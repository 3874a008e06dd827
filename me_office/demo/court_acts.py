"""Acts on requests: their demands, counsel, paper, who asks, further cases, and what they cost."""

from __future__ import annotations

import io
import tempfile
from decimal import Decimal
from pathlib import Path
from typing import Any

from cases.court import authorizing, counseling, demanding, fees, originals
from cases.court.models import FeeRule, RecordsRequest
from cases.models import Case, Person
from evidence import store
from me_office.demo.office import key_of
from me_office.demo.play import Given, Play
from me_office.typesetting import typeset

TEMPLATE = Path(__file__).parent / "demo-request.typ"


def _of(play: Play, given: Given) -> dict[str, Any]:
    return {
        "case_id": play.case_id,
        "request_id": play.key(given.act.about),
        "record_id": given.key,
    }


def record_demand(play: Play, given: Given) -> None:
    """List one thing that a request asks for."""
    demanding.record_demand(given.actor, entry=given.entry, **_of(play, given))


def record_counsel(play: Play, given: Given) -> None:
    """Note who appears in the matter."""
    counseling.record_counsel(given.actor, entry=given.entry, **_of(play, given))


def add_request_case(play: Play, given: Given) -> None:
    """Note that a request asks for a further case of the invented office, by its name."""
    further = Case.objects.get(pk=key_of(given.entry["case"]))
    counseling.add_request_case(given.actor, further_case=further.pk, **_of(play, given))


def record_authority(play: Play, given: Given) -> None:
    """Note by what right somebody asks; `person` is somebody whom the case has, by name."""
    entry = dict(given.entry)
    if "person" in entry:
        entry["person"] = Person.objects.filter(
            case_id=play.case_id, name__startswith=entry["person"]
        ).first()
    authorizing.record_authority(given.actor, entry=entry, **_of(play, given))


def attach_original(play: Play, given: Given) -> None:
    """Attach the paper of a request: synthetic pages, set by the office's own typesetting."""
    asked = RecordsRequest.objects.get(pk=play.key(given.act.about))
    values = {"court": asked.court, "number": asked.cause_number, "party": asked.party,
              "pages": given.entry["pages"]}  # fmt: skip
    with tempfile.TemporaryDirectory(prefix="demo-request-") as folder:
        made = typeset(TEMPLATE, Path(folder), values, at=play.zero)
    with store.receive(io.BytesIO(made.pdf), name=given.entry["name"]) as incoming:
        originals.attach_original(
            given.actor,
            incoming=incoming.recognized(media_type="application/pdf"),
            pages=made.pages,
            **_of(play, given),
        )


def record_fee(play: Play, given: Given) -> None:
    """Put a fee on the office's list."""
    fees.record_fee(given.actor, record_id=given.key, entry=given.entry)


def issue_invoice(play: Play, given: Given) -> None:
    """Write an invoice; `counts` says how many of each fee, by its name."""
    entry = dict(given.entry)
    counts = entry.pop("counts")
    named = {fee.name: str(fee.pk) for fee in FeeRule.objects.active()}
    fees.issue_invoice(
        given.actor,
        entry=entry,
        quantities={named[name]: Decimal(many) for name, many in counts.items()},
        **_of(play, given),
    )


def waive_invoice(play: Play, given: Given) -> None:
    """Waive an invoice; it is named like the act that wrote it."""
    keys = {**_of(play, given), "record_id": play.key(given.entry["invoice"])}
    fees.waive_invoice(given.actor, version=1, reason=given.act.reason, **keys)
