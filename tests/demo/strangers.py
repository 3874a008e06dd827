"""What somebody other than the loader may have done in the demonstration office."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from uuid import uuid4

from django.db import connection
from django.utils import timezone

from cases.actions import log_report_of_death
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.audit import looks
from me_office.demo.office import key_of
from me_office.demo.scenario import report

A_CALL = report(
    "quill",
    heading="Found at the ferry",
    caller_name="Harbor watch",
    place_found="Ferry landing",
    circumstances="Found on the landing.",
)


def looked(case: Case, person: Staff) -> None:
    looks.note(person, "case file", case_id=case.pk)


def logged_another(case: Case, person: Staff) -> None:
    entry = {**A_CALL.entry, "called_at": timezone.now()}
    log_report_of_death(person, record_id=uuid4(), entry=entry)


def changed_by_hand(case: Case, person: Staff) -> None:
    Case.objects.filter(pk=case.pk).update(heading="New series")


def let_somebody_in(case: Case, person: Staff) -> None:
    Staff.objects.create(username="another", display_name="N. Other")


@contextmanager
def past_the_trail() -> Iterator[None]:
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL session_replication_role = replica")
        yield
        cursor.execute("SET LOCAL session_replication_role = origin")


def let_somebody_in_past_the_trail(case: Case, person: Staff) -> None:
    with past_the_trail():
        let_somebody_in(case, person)


def made_a_case_past_the_trail(case: Case, person: Staff) -> None:
    with past_the_trail():
        one = Case.objects.get(pk=key_of("sorley"))
        one.pk = uuid4()
        one.save(force_insert=True)


DONE: list[Callable[[Case, Staff], None]] = [
    looked,
    logged_another,
    changed_by_hand,
    let_somebody_in,
    let_somebody_in_past_the_trail,
    made_a_case_past_the_trail,
]
