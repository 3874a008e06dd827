"""Makes the first administrator of an office, who opens everybody else's account."""

from __future__ import annotations

import secrets
from argparse import ArgumentParser
from typing import Any

from django.core.management import BaseCommand, CommandError

from me_office.accounts.actions import open_first_account
from me_office.accounts.models import Staff
from me_office.accounts.rules import new_password
from me_office.audit.errors import Invalid, OfficeError
from me_office.audit.ids import new_id


class Command(BaseCommand):
    """`manage.py first_administrator birch "A. Birch"` prints a password to begin with."""

    help = "Make the first administrator; prints a password that has to be changed at once."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the user name and the name as printed."""
        parser.add_argument("username")
        parser.add_argument("name", help="As printed: A. Birch")

    def handle(self, *args: Any, **options: Any) -> None:
        """Make the account, as an act of its own in the audit trail."""
        password, key = new_password(secrets.choice), new_id()
        entry = {"username": options["username"], "display_name": options["name"]}
        operator = Staff(pk=key, username=options["username"], display_name="the operator")
        operator._roles = frozenset()
        try:
            open_first_account(
                operator, record_id=key, entry=entry, password=password,
                reason="The office is set up.",
            )  # fmt: skip
        except Invalid as error:
            raise CommandError(str(error.errors)) from error
        except OfficeError as error:
            raise CommandError(error.message) from error
        self.stdout.write(f"User name: {options['username']}\nPassword:  {password}")
