"""Taking in, describing, linking and withdrawing photographs."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from pathlib import PurePath
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from cases.access import Act
from cases.actions.entry import case_to_change, withdraws
from cases.models import Case
from evidence import store
from evidence.custody.models import Seal, Transfer
from evidence.custody.opening import open_item, require_active, void_item
from evidence.custody.rules import FILE_STORE
from evidence.imaging import exif
from evidence.photographs import queries, rules
from evidence.photographs.models import DerivedImage, Photograph, PhotographFinding
from evidence.store import Incoming
from findings.models import Finding
from me_office.accounts.models import Staff
from me_office.audit.actions import action
from me_office.audit.errors import Conflict, Refused, known
from me_office.audit.fields import set_fields
from me_office.audit.ids import new_id
from me_office.audit.records import (
    recorded_before,
    require_reason,
    require_version,
    save_new,
    save_next_version,
    void,
)
from me_office.entries import Entry
from me_office.jobs import sending

DESCRIBED = (
    "photographer", "taken_at", "place", "view", "with_scale", "graphic", "region", "shows",
)  # fmt: skip


class AlreadyInCase(Conflict):
    """The same bytes are in the case; `photograph` is the one that holds them."""

    code = "already_in_case"

    def __init__(self, photograph: Photograph) -> None:
        super().__init__(
            f"This file is photograph {photograph.number} already; it was not stored again."
        )
        self.field = rules.FIELD
        self.photograph = photograph


@action
def add_photograph(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    incoming: Incoming,
    entry: Entry,
    reason: str = "",
) -> Photograph:
    """Take in a checked file as the next photograph: item, digest as seal, first transfer.

    `incoming` comes from `store.receive` and `pictures.check_picture`. `entry` holds the
    description and may hold `finding_ids`, `received_at` and `transfer_place`. The file is
    published as the last step.

    Raises NotKnown, NotAllowed, AlreadyInCase, Conflict, Invalid, Refused.
    """
    case = case_to_change(actor, Act.PHOTOGRAPH, case_id)
    now = timezone.now()
    photograph = Photograph(
        pk=record_id,
        case=case,
        number=0,
        **{name: entry[name] for name in DESCRIBED if name in entry},
        **_facts_of(incoming),
    )
    if photograph.taken_at is None:
        photograph.taken_at = _camera_time(photograph, now)
    there = recorded_before(photograph, assigned=("number", "item", "file", "preview"))
    if there is not None:
        if there.file.sha256 != incoming.sha256:
            raise Conflict("A photograph with this key holds another file.")
        return there
    same = queries.photograph_with_digest(case, incoming.sha256)
    if same is not None:
        raise AlreadyInCase(same)
    rules.check_taken(photograph.taken_at, now=now)
    return _keep(actor, photograph, incoming, entry, now)


def _camera_time(photograph: Photograph, now: datetime) -> datetime | None:
    # A camera whose clock runs ahead gives no time; what it wrote stays in the Exif facts.
    said = exif.taken_at(photograph.exif, settings.OFFICE_ZONE)
    return said if said is not None and said <= now else None


def _keep(
    actor: Staff, photograph: Photograph, incoming: Incoming, entry: Entry, now: datetime
) -> Photograph:
    last = Photograph.objects.filter(case=photograph.case).aggregate(last=Max("number"))["last"]
    photograph.number = (last or 0) + 1
    photograph.item = open_item(
        actor,
        photograph.case,
        kind="photograph",
        title=f"Photograph {photograph.number}",
        entry={"collected_at": photograph.taken_at},
    )
    with store.kept(incoming) as photograph.file:
        save_new(actor, photograph, own_key=True)
        _seal_and_hand_over(actor, photograph, entry, entry.get("received_at") or now)
        for finding_id in entry.get("finding_ids") or ():
            _link(actor, photograph, finding_id, record_id=new_id())
        photograph_id = str(photograph.pk)
        transaction.on_commit(lambda: _ask_for_previews(photograph_id), robust=True)
    return photograph


def _seal_and_hand_over(
    actor: Staff, photograph: Photograph, entry: Entry, received_at: datetime
) -> None:
    """Write the digest as the item's seal, and the passing from the photographer to the store."""
    save_new(
        actor,
        Seal(
            case=photograph.case,
            item=photograph.item,
            kind="digest",
            number=photograph.file.sha256,
            applied_at=received_at,
            applied_by=str(actor),
        ),
        own_key=True,
    )
    by_hand = photograph.photographer == str(actor)
    save_new(
        actor,
        Transfer(
            case=photograph.case,
            item=photograph.item,
            from_party=photograph.photographer,
            from_staff=actor if by_hand else None,
            to_party=FILE_STORE,
            at=received_at,
            place=str(entry.get("transfer_place") or settings.OFFICE_NAME),
            purpose=rules.ORIGINAL_PURPOSE,
            seal_state="intact",
        ),
        own_key=True,
    )


def _ask_for_previews(photograph_id: str) -> None:
    # When the queue cannot be reached, the regular look for missing previews finds it.
    sending.send("evidence.photographs.tasks.derive_images", photograph_id=photograph_id)


@action
def describe_photograph(
    actor: Staff,
    *,
    case_id: UUID,
    photograph_id: UUID,
    version: int,
    entry: Entry,
    reason: str = "",
) -> Photograph:
    """Change a photograph's line in the log; the file itself never changes.

    Raises NotKnown, NotAllowed, StaleRecord, Refused, Invalid.
    """
    photograph = _for_update(actor, case_id, photograph_id)
    require_version(photograph, version)
    require_active(photograph, "photograph")
    set_fields(photograph, entry, DESCRIBED)
    rules.check_taken(photograph.taken_at, now=timezone.now())
    return save_next_version(actor, photograph)


@action
def link_finding(
    actor: Staff,
    *,
    case_id: UUID,
    record_id: UUID,
    photograph_id: UUID,
    finding_id: UUID,
    reason: str = "",
) -> PhotographFinding:
    """Say that a photograph shows a finding.

    Raises NotKnown, NotAllowed, Refused, Conflict.
    """
    photograph = _for_update(actor, case_id, photograph_id)
    require_active(photograph, "photograph")
    return _link(actor, photograph, finding_id, record_id=record_id)


def _link(
    actor: Staff, photograph: Photograph, finding_id: UUID | str, *, record_id: UUID
) -> PhotographFinding:
    finding = known(
        Finding.objects.filter(pk=finding_id, case_id=photograph.case_id).first(), "finding"
    )
    link = PhotographFinding(
        pk=record_id, case_id=photograph.case_id, photograph=photograph, finding=finding
    )
    there = recorded_before(link)
    if there is not None:
        return there
    if finding.is_voided:
        raise Refused(f"Finding {finding.number} was withdrawn.", field="finding")
    if photograph.finding_links.filter(finding=finding, voided_at=None).exists():
        raise Refused(
            f"Photograph {photograph.number} is linked to finding {finding.number} already.",
            field="finding",
        )
    return save_new(actor, link)


@action
def outline_finding(
    actor: Staff, *, case_id: UUID, link_id: UUID, version: int, entry: Entry, reason: str = ""
) -> PhotographFinding:
    """Point at a finding on the picture that shows it, or draw its outline; None takes it away.

    `entry["outline"]` holds points [x, y] of the upright picture, 0 to 1 (see
    `rules.checked_outline`).

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    link = _link_for_update(case_to_change(actor, Act.PHOTOGRAPH, case_id), link_id)
    require_version(link, version)
    require_active(link, "link")
    link.outline = rules.checked_outline(entry.get("outline"))
    return save_next_version(actor, link)


def _link_for_update(case: Case, link_id: UUID) -> PhotographFinding:
    link: PhotographFinding | None = (
        PhotographFinding.objects.select_for_update().filter(pk=link_id, case=case).first()
    )
    return known(link, "link")


# It is no longer said that the photograph shows the finding.
unlink_finding = withdraws("unlink_finding", Act.PHOTOGRAPH, _link_for_update, key="link_id")


@action
def void_photograph(
    actor: Staff, *, case_id: UUID, photograph_id: UUID, version: int, reason: str
) -> Photograph:
    """Withdraw a photograph and its item; the file stays in the store, the number is not reused.

    Raises NotKnown, NotAllowed, StaleRecord, Refused.
    """
    photograph = _for_update(actor, case_id, photograph_id)
    require_version(photograph, version)
    why = require_reason(reason)
    for links in (photograph.finding_links, photograph.series_links):
        for link in links.select_for_update().filter(voided_at=None).order_by("id"):
            void(actor, link, reason=why)
    void_item(actor, photograph.item, reason=why)
    return void(actor, photograph, reason=why)


def _for_update(actor: Staff, case_id: UUID, photograph_id: UUID) -> Photograph:
    case = case_to_change(actor, Act.PHOTOGRAPH, case_id)
    return queries.photograph_for_update(case, photograph_id)


@action
def add_preview(
    actor: Staff, *, photograph_id: UUID, copies: Iterable[tuple[str, str, Incoming]]
) -> Photograph:
    """Publish the smaller copies of a photograph: (kind, method, bytes) each.

    Called by the job that makes them, for the person who added the photograph. The photograph's
    version stays: nobody's description becomes stale because a copy was made.
    """
    photograph = Photograph.objects.select_for_update().get(pk=photograph_id)
    there = set(photograph.derived.values_list("kind", flat=True))
    for kind, method, incoming in copies:
        if kind not in there:
            file = store.publish(incoming, folder=store.DERIVED)
            DerivedImage.objects.create(
                photograph=photograph, kind=kind, file=file, method=method[:200]
            )
    return _note_preview(photograph, "made")


@action
def fail_preview(actor: Staff, *, photograph_id: UUID) -> Photograph:
    """Note that no smaller copy could be made; the original is whole."""
    photograph = Photograph.objects.select_for_update().get(pk=photograph_id)
    return _note_preview(photograph, "failed")


@action
def add_tiles(actor: Staff, *, photograph_id: UUID, method: str, incoming: Incoming) -> Photograph:
    """Publish the tiles of a photograph; asked for again, nothing changes."""
    photograph = Photograph.objects.select_for_update().get(pk=photograph_id)
    if not photograph.derived.filter(kind="tiles").exists():
        file = store.publish(incoming, folder=store.DERIVED)
        DerivedImage.objects.create(
            photograph=photograph, kind="tiles", file=file, method=method[:200]
        )
    return photograph


def _note_preview(photograph: Photograph, state: str) -> Photograph:
    Photograph.objects.filter(pk=photograph.pk).update(preview=state)
    photograph.preview = state
    return photograph


def _facts_of(incoming: Incoming) -> dict[str, object]:
    """Return what a photograph's row keeps of its file."""
    return {
        "original_name": PurePath(incoming.name.replace("\\", "/")).name[-200:],
        "width_px": incoming.width_px,
        "height_px": incoming.height_px,
        "exif": incoming.exif or {},
    }
