"""Makes the PDF of an addendum or amendment, signed, once; packets send that same file."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable
from pathlib import Path
from uuid import UUID

from django.conf import settings

from cases.packets.material import material_of
from cases.packets.printing import printed_addendum
from cases.review.models import Addendum
from cases.review.rules import canonical_of, digest_of
from cases.signatures.keeping import Plan, keep_signed_addendum, plan_of_addendum, put_signatures
from cases.signatures.models import SecondSignature, SignedDocument
from cases.signatures.second import content_of
from evidence import store
from me_office.audit.errors import Refused
from me_office.shell.templatetags.office import moment
from me_office.typesetting import Typeset, typeset

TEMPLATE = Path(__file__).parent / "typst" / "addendum.typ"


def signed_addendum(
    addendum_id: UUID,
    *,
    place: Path | None = None,
    reached: Callable[[str], None] = lambda stage: None,
) -> SignedDocument:
    """Return the kept PDF of an addendum, made now where it is not kept yet.

    Raises Refused while a second signature is wanted, and what `put_signatures` raises.
    """
    there: SignedDocument | None = SignedDocument.objects.filter(addendum=addendum_id).first()
    if there is not None:
        return there
    addendum = Addendum.objects.select_related("made_by", "case").get(pk=addendum_id)
    second = SecondSignature.objects.filter(addendum=addendum).select_related("signed_by").first()
    if settings.SECOND_SIGNATURE and second is None:
        raise Refused("This waits for the signature of a second pathologist.")
    plan = plan_of_addendum(addendum, second)
    reached("print")
    printed = print_addendum(addendum, plan, place=place)
    reached("sign")
    made = put_signatures(printed.pdf, plan)
    with store.receive(io.BytesIO(made.pdf), name="addendum.pdf") as incoming:
        reached("keep")
        return keep_signed_addendum(
            second.signed_by if second else addendum.made_by,
            addendum_id=addendum.pk,
            incoming=incoming.recognized(media_type="application/pdf"),
            pages=printed.pages,
            made=made,
        )


def print_addendum(addendum: Addendum, plan: Plan, *, place: Path | None = None) -> Typeset:
    """Print an addendum as a document of its own."""
    material = material_of(addendum.case_id)
    content = content_of(addendum)
    signed = material.decision.decided_at if material.decision else addendum.made_at
    values: dict[str, object] = {
        "office": settings.OFFICE_NAME,
        "case": {"label": material.case.label, "name": material.name},
        "of_report": {
            "signed": moment(signed),
            "sha256": material.draft.sha256 if material.draft else "",
        },
        "addendum": printed_addendum(material, addendum),
        "sha256": digest_of(content),
        "signatures": plan.printed(),
    }
    with tempfile.TemporaryDirectory(prefix="addendum-", dir=place) as name:
        folder = Path(name)
        (folder / "signed-text.json").write_bytes(canonical_of(content))
        return typeset(TEMPLATE, folder, values, at=addendum.made_at)
