"""Certificates from the command line: for who sets the office up, or when no browser is at hand."""

from __future__ import annotations

import getpass
from argparse import ArgumentParser
from collections.abc import Callable
from pathlib import Path
from typing import Any

from django.core.management import BaseCommand, CommandError
from django.utils import timezone

from cases.signatures import actions, queries
from cases.signatures.models import Certificate
from cases.signatures.rules import state_words
from me_office.accounts.models import Staff
from me_office.audit.errors import OfficeError
from me_office.audit.ids import new_id


class Command(BaseCommand):
    """Each change is an act of the administrator who is named, and asks for their password."""

    help = "Lists, makes, imports, renews and revokes the certificates that sign documents."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "what", choices=["list", "authority", "issue", "import", "trust", "revoke", "renew"]
        )
        parser.add_argument("which", nargs="?", default="", help="User name, or serial number")
        parser.add_argument("--file", type=Path, help="PKCS#12 (import) or PEM (trust)")
        parser.add_argument("--by", default="", help="User name of the administrator")
        parser.add_argument("--reason", default="")

    def handle(self, *args: Any, **options: Any) -> None:
        what = options["what"]
        if what == "list":
            self._list()
        elif what == "renew":
            self._renew()
        else:
            try:
                one = self._change(what, options)
            except OfficeError as error:
                raise CommandError(error.message) from error
            self.stdout.write(f"{one}: {state_words(one, timezone.now())}")

    def _list(self) -> None:
        now = timezone.now()
        for one in queries.certificates():
            until = f"{one.not_after:%Y-%m-%d}"
            self.stdout.write(
                f"{one.serial}  {one.name}  {one.kind}  {state_words(one, now)}, until {until}"
            )

    def _renew(self) -> None:
        from cases.signatures.tasks import renew_certificates

        self.stdout.write(f"Renewed: {renew_certificates()}")

    def _change(self, what: str, options: dict[str, Any]) -> Certificate:
        actor = self._administrator(options["by"])
        said = {"reason": options["reason"]}
        by_name: dict[str, Callable[[], Certificate]] = {
            "authority": lambda: actions.make_authority(actor, record_id=new_id(), **said),
            "issue": lambda: actions.issue_certificate(
                actor, record_id=new_id(), person_id=_person(options["which"]).pk, **said
            ),
            "import": lambda: actions.import_certificate(
                actor,
                record_id=new_id(),
                person_id=_person(options["which"]).pk,
                content=_content(options["file"]),
                password=getpass.getpass("Password of the file: "),
                **said,
            ),
            "trust": lambda: actions.trust_time_stamps(
                actor,
                record_id=new_id(),
                pem=_content(options["file"]).decode(errors="replace"),
                **said,
            ),
            "revoke": lambda: self._revoke(actor, options["which"], options["reason"]),
        }
        return by_name[what]()

    def _administrator(self, username: str) -> Staff:
        """Return who acts, after their own password."""
        actor = _person(username)
        if not actor.check_password(getpass.getpass(f"Password of {username}: ")):
            raise CommandError("This is not the password.")
        return actor

    def _revoke(self, actor: Staff, serial: str, reason: str) -> Certificate:
        one = Certificate.objects.filter(serial__iexact=serial).first()
        if one is None:
            raise CommandError("There is no certificate with this serial number.")
        return actions.revoke_certificate(
            actor, certificate_id=one.pk, version=one.version, reason=reason
        )


def _person(username: str) -> Staff:
    found: Staff | None = Staff.objects.filter(username=username, is_active=True).first()
    if found is None:
        raise CommandError("Name a user of the office whose account is open.")
    return found


def _content(file: Path | None) -> bytes:
    if file is None or not file.is_file():
        raise CommandError("Name the file with --file.")
    return file.read_bytes()
