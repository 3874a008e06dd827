"""A stored photograph with a scale, and what somebody picked in it."""

from __future__ import annotations

import json
from typing import Any

from cases.models import Case
from evidence.measuring import actions
from evidence.measuring.models import Measurement
from evidence.photographs.models import Photograph
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id
from tests.evidence.pictures import add, picture_bytes

SIZE = (1200, 800)


def photograph_with_scale(actor: Staff, case: Case, **fields: Any) -> Photograph:
    """A photograph of 1200 x 800 px."""
    content = picture_bytes(fields.pop("shade", 90), kind="PNG", size=SIZE)
    return add(actor, case, content, name="DSC_0001.png", with_scale=True, **fields)


def straight(**changed: Any) -> dict[str, Any]:
    """A length of 30 mm: 10 px a millimeter, scale of 50 mm."""
    return {
        "kind": "length",
        "scale_kind": "straight",
        "scale_name": "straight",
        "scale_points": [
            {"label": "0 mm", "px": [200, 700], "mm": [0, 0]},
            {"label": "50 mm", "px": [700, 700], "mm": [50, 0]},
        ],
        "points": [[300, 400], [600, 400]],
        "scale_in_plane": True,
        "tilt_deg": 5,
        **changed,
    }


def right_angled(**changed: Any) -> dict[str, Any]:
    """An area of 30 x 20 mm by a right-angled scale, seen square on at 10 px a millimeter."""
    known = [(10, 0), (40, 0), (70, 0), (0, 10), (0, 40), (0, 70)]
    return {
        "kind": "area",
        "scale_kind": "right-angled",
        "scale_name": "abfo_no_2",
        "scale_points": [
            {"label": f"{x}, {y}", "px": [100 + 10 * x, 760 - 10 * y], "mm": [x, y]}
            for x, y in known
        ],
        "points": [[300, 400], [600, 400], [600, 600], [300, 600]],
        "scale_in_plane": True,
        **changed,
    }


def measured(actor: Staff, photograph: Photograph, **changed: Any) -> Measurement:
    """A kept measurement."""
    entry = changed.pop("entry", None) or straight(**changed)
    return actions.measure_photograph(
        actor,
        case_id=photograph.case_id,
        record_id=new_id(),
        photograph_id=photograph.pk,
        entry=entry,
    )


def form_of(entry: dict[str, Any], **fields: Any) -> dict[str, Any]:
    """What the page's form sends."""
    return {"measured": json.dumps(entry), "record_id": str(new_id()), "note": "", **fields}
