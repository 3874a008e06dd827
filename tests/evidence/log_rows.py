"""A long photograph log, written past the actions in a few statements."""

from __future__ import annotations

from collections.abc import Sequence

from django.db.models import Max

from cases.models import Case
from evidence.items.models import Item
from evidence.photographs.models import Photograph, PhotographFinding
from evidence.store.models import StoredFile
from findings.models import Finding
from me_office.accounts.models import Staff
from me_office.audit.ids import new_id

VIEWS = ("overview", "mid-range", "close-up", "close-up")


def fill_log(
    by: Staff,
    case: Case,
    how_many: int,
    finding: Finding,
    *,
    files: Sequence[StoredFile] = (),
    after: int = 0,
) -> list[Photograph]:
    """Photographs numbered on from `after`, each showing the finding, every fourth with a scale.

    Their files are in the store only where `files` gives them.
    """
    marks = {"case": case, "created_by": by, "changed_by": by}
    items, named, photographs, links = [], [], [], []
    # Other items of the case may have taken the numbers that follow its photographs.
    first_item = 1 if not after else 1 + case.item_set.aggregate(last=Max("number"))["last"]
    for place, number in enumerate(range(after + 1, after + how_many + 1)):
        items.append(
            Item(
                number=first_item + place, kind="photograph", title=f"Photograph {number}", **marks
            )
        )
        key = new_id().hex
        if not files:
            path = f"originals/{key}"
            named.append(
                StoredFile(sha256=key * 2, size_bytes=1, media_type="image/jpeg", path=path)
            )
        photographs.append(
            Photograph(
                item=items[-1], file=files[place] if files else named[-1],
                number=number, photographer="P. Sedge",
                place="examination", view=VIEWS[number % 4], with_scale=number % 4 == 3,
                region="right chest", shows=f"Contusion, picture {number}", width_px=6000,
                height_px=4000, preview="made", original_name=f"DSC_{number:04}.jpg", **marks,
            )
        )  # fmt: skip
        links.append(PhotographFinding(photograph=photographs[-1], finding=finding, **marks))
    for rows in filter(None, (items, named, photographs, links)):
        type(rows[0])._default_manager.bulk_create(rows, batch_size=500)
    return photographs
