"""The board of requests in an office where twenty thousand of them are open or were answered."""

from __future__ import annotations

import random
import time
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.court.models import Demand, RecordsRequest
from cases.decisions.models import ItemDecision, Reach
from cases.models import Case
from evidence.items.models import Item
from evidence.photographs.models import Photograph
from evidence.store.models import StoredFile
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.bench.evidence import Compared, fresh_database
from tests.bench.measuring import MOST_P95_MS, MOST_STATEMENTS
from tests.bench.servers import Servers
from tests.builders import make_case, make_staff

TITLE = "board of 20,000 requests"
REQUESTS, CASES, DEMANDS = 20_000, 200, 3
# Of the requests that are due first the items are counted: what they reach, and what is decided.
SOONEST, PHOTOGRAPHS = 420, 60
PAGES = (
    ("board, first page", "docket:board", ""),
    ("board, overdue", "docket:board", "?group=overdue"),
    ("board, whom nobody handles", "docket:board", "?person=nobody"),
    ("figures of the year", "docket:figures", ""),
    ("requests of the office", "court:office-requests", ""),
)


def board_times(servers: Servers, only: str = "", *, visits: int = 20) -> list[Compared]:
    """Measure it where its title holds `only`, on a database made for it."""
    if only not in TITLE:
        return []
    with fresh_database(servers):
        clerk = make_staff(Role.RECORDS_CLERK, name="R. Ostrander")
        fill_board(clerk, REQUESTS, CASES)
        return boards(clerk, visits=visits)


def fill_board(by: Staff, requests: int, cases: int) -> None:
    """Requests of so many cases, half of them open, each with demands and some decisions."""
    chance, today = random.Random(7), timezone.localdate()
    there = [make_case(by=by) for _ in range(cases)]
    marks = {"created_by": by, "changed_by": by}
    asked = [
        RecordsRequest(
            case=chance.choice(there), kind="subpoena", court="Circuit Court",
            cause_number=f"26-CF-{number:05d}", party=f"Party {number % 700}",
            served_on=today - timedelta(days=chance.randint(31, 300)),
            due_on=today + timedelta(days=chance.randint(-30, 60)),
            asks_for="The file.", state="open" if number % 2 else "answered", **marks,
        )
        for number in range(requests)
    ]  # fmt: skip
    RecordsRequest.objects.bulk_create(asked, batch_size=1000)
    demands = [
        Demand(
            case_id=one.case_id, request=one, number=number, kind="documents",
            title=f"Demand {number}", **marks,
        )
        for one in asked
        for number in range(1, DEMANDS + 1)
    ]  # fmt: skip
    Demand.objects.bulk_create(demands, batch_size=1000)
    decided = [
        ItemDecision(
            case_id=one.case_id, request_id=one.request_id, demand=one, kind="photograph",
            item=str(new_id()), digest="d" * 64, label="photograph", number="P 1",
            outcome="release", together=new_id(), **marks,
        )
        for one in demands
        if chance.random() < 0.6
    ]  # fmt: skip
    ItemDecision.objects.bulk_create(decided, batch_size=1000)
    _fill_soonest(there, marks, chance)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


def _fill_soonest(there: list[Case], marks: dict[str, Any], chance: random.Random) -> None:
    """Photographs of every case; each second of the requests that are due first asks for them.

    Of some nothing is decided, of some the half, of some all.
    """
    taken: dict[UUID, list[Photograph]] = {}
    for case in there:
        numbers = range(1, PHOTOGRAPHS + 1)
        files = [
            StoredFile(sha256=f"{chance.getrandbits(256):064x}", size_bytes=1, path=f"{new_id()}",
                       media_type="image/jpeg")
            for _ in numbers
        ]  # fmt: skip
        items = [
            Item(case=case, number=number, kind="photograph", title="Photograph", **marks)
            for number in numbers
        ]
        taken[case.pk] = [
            Photograph(
                case=case, item=item, file=file, number=number, original_name="p.jpg",
                photographer="I. Vasko", place="scene", view="overall", shows=f"Place {number}",
                width_px=9, height_px=9, exif={}, **marks,
            )
            for number, item, file in zip(numbers, items, files, strict=True)
        ]  # fmt: skip
        StoredFile.objects.bulk_create(files)
        Item.objects.bulk_create(items)
        Photograph.objects.bulk_create(taken[case.pk])
    open_ones = RecordsRequest.objects.filter(state="open").order_by("due_on", "id")[:SOONEST]
    demands = Demand.objects.filter(request__in=list(open_ones))
    reaches, decided = [], []
    for one in demands:
        asks = chance.random() < 0.5 and one.number == 1
        reaches += [
            Reach(case_id=one.case_id, request_id=one.request_id, demand=one, kind=kind, **marks)
            for kind in (("photograph",) if asks else ("report", "result", "history"))
        ]
        shown = taken[one.case_id][: chance.choice((0, PHOTOGRAPHS // 2, PHOTOGRAPHS))]
        decided += [
            ItemDecision(
                case_id=one.case_id, request_id=one.request_id, demand=one, kind="photograph",
                item=str(each.pk), digest="d" * 64, label="photograph", number=f"P {each.number}",
                outcome="release", together=new_id(), **marks,
            )
            for each in (shown if asks else ())
        ]  # fmt: skip
    Reach.objects.bulk_create(reaches, batch_size=1000)
    ItemDecision.objects.bulk_create(decided, batch_size=1000)


def boards(by: Staff, *, visits: int) -> list[Compared]:
    """Ask for each page so many times; the slowest but one in twenty counts."""
    client, found = Client(), []
    client.force_login(by)
    for title, name, asked in PAGES:
        where = reverse(name) + asked
        with CaptureQueriesContext(connection) as statements:
            client.get(where)
            # A later request forgets what was asked before it.
            asked_for = len(statements)
        took = sorted(_milliseconds(client, where) for _ in range(visits))
        p95 = took[min(len(took) - 1, round(len(took) * 0.95))]
        missed = [
            words
            for words, wrong in (
                ("p95", p95 > MOST_P95_MS), ("statements", asked_for > MOST_STATEMENTS)
            )
            if wrong
        ]  # fmt: skip
        unit = f"ms (median {took[len(took) // 2]:.0f}), {asked_for} statements: {title}"
        found.append(Compared(TITLE, p95, unit, f"at most {MOST_P95_MS} ms", ", ".join(missed)))
    return found


def _milliseconds(client: Client, where: str) -> float:
    begun = time.perf_counter()
    answer = client.get(where)
    took = (time.perf_counter() - begun) * 1000
    assert answer.status_code == 200, where
    return took
