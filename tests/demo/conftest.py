"""The demonstration office, loaded once for a module."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from django.core.management import call_command
from django.db import connection

from tests.demo.loaded import load, owner


@pytest.fixture(scope="module")
def office(django_db_setup: None, django_db_blocker: object) -> Iterator[None]:
    """Load the whole office once for this module, act by act, and empty it again at the end."""
    with django_db_blocker.unblock():  # type: ignore[attr-defined]
        try:
            with owner() as mover:
                load(mover=mover)
            yield
        finally:
            call_command("flush", verbosity=0, interactive=False)
            connection.close()


@pytest.fixture
def _in_office(office: None, db: None) -> None:
    """Run a test on the loaded office; what the test changes is taken back."""
