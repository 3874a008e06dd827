"""The certificates by which people sign, and whether signed documents wait for something."""

from __future__ import annotations

from collections.abc import Iterator

from django.conf import settings

from cases.signatures import queries, sealing
from cases.signatures.actions import key_of
from cases.signatures.sealing import CannotOpen
from me_office.upkeep.conditions import Said, condition, right, wrong

WHERE = "See Certificates, or manage.py certificates."


@condition("certificates", asks_database=True)
def certificates() -> Iterator[Said]:
    """Has everybody who signs a certificate that is good, and can it be used?"""
    listed = queries.holders()
    held = [one for one in listed if one.certificate]
    if not held:
        yield right("There are none: reports are kept with their digest, not digitally signed.")
        return
    fine = True
    if not sealing.has_secret():
        fine = False
        yield wrong(
            "No signing secret is set: the certificates that are kept can't be used.",
            "Set ME_SIGNING_SECRET as it was when they were made.",
        )
    elif held[0].certificate and held[0].state in ("valid", "expires soon"):
        try:
            key_of(held[0].certificate)
        except CannotOpen as error:
            fine = False
            yield wrong(
                error.message,
                "Set ME_SIGNING_SECRET as it was, or issue the certificates anew.",
            )
    for one in listed:
        name = one.person.username
        if one.certificate is None:
            fine = False
            yield wrong(
                f"{name} signs reports and has no certificate: theirs are not digitally signed.",
                f"Issue one. {WHERE}",
            )
        elif one.state != "valid":
            fine = False
            yield wrong(
                f"The certificate of {name}: {one.state}.", f"Issue or import the next. {WHERE}"
            )
    if settings.TIMESTAMP_URL and not queries.stamp_authorities():
        fine = False
        yield wrong(
            "Signatures are to be stamped, and no time-stamp authority is trusted: signed "
            "reports wait.",
            "Bring its root certificate: manage.py certificates trust --file ROOT.pem",
        )
    if fine:
        yield right("Everybody who signs has one.")
