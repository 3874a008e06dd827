"""Which pages and actions are measured, and how their requests are prepared."""

from __future__ import annotations

import io
import json
import random
from collections.abc import Callable
from typing import Any
from urllib.parse import quote

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from cases.models import Case, Decedent
from cases.rules.case import CaseState
from evidence.items.models import Item
from evidence.photographs.models import Photograph
from findings.models import Finding
from me_office.accounts.models import Staff
from me_office.accounts.roles import CASE_ROLES, Role
from me_office.audit.ids import new_id
from tests.bench.examined import anchors
from tests.bench.measuring import Measure, Request
from tests.cases.browsing import typed
from tests.cases.entries import first_call

OPEN = CaseState.OPEN.value
EXAMINED = {"examination__isnull": False}
ITEMS_SEEN = {"item_set__kind": "specimen"}


def _signed_in(role: Role) -> Client:
    client = Client()
    client.force_login(Staff.objects.filter(groups__name=role.value).order_by("username")[0])
    return client


def _spread(rows: Any, count: int) -> list[Any]:
    """Take so many rows, evenly from the oldest to the newest."""
    keys = list(rows.order_by("reported_at", "pk").values_list("pk", flat=True).distinct())
    chosen = keys[:: max(1, len(keys) // count)][:count]
    found = rows.model.objects.select_related("decedent").in_bulk(chosen)
    return [found[key] for key in random.Random(count).sample(chosen, len(chosen))]


def cases_that(count: int, **are: Any) -> list[Any]:
    """Different cases of the ordinary kind; the earliest and the latest are among them."""
    cases = _spread(Case.objects.filter(restricted=False, **are), count)
    if not cases:
        raise AssertionError(f"The office has no case with {are}")
    return cases


def _case_page(title: str, name: str, role: Role, *, asked: str = "", **are: Any) -> Measure:
    def prepare(count: int) -> list[Request]:
        client, cases = _signed_in(role), cases_that(count, **are)
        return [Request(client, reverse(name, args=[case.pk]) + asked) for case in cases]

    return Measure(title, prepare)


def _first_page(role: Role) -> Measure:
    def prepare(count: int) -> list[Request]:
        people = list(Staff.objects.filter(groups__name=role.value).order_by("username"))
        clients = []
        for person in people:
            client = Client()
            client.force_login(person)
            clients.append(client)
        return [Request(clients[n % len(clients)], reverse("first-page")) for n in range(count)]

    return Measure(f"first page, {role.value}", prepare)


def _search(title: str, words: Callable[[Any], str], **are: Any) -> Measure:
    def prepare(count: int) -> list[Request]:
        client, search = _signed_in(Role.INVESTIGATOR), reverse("cases:search")
        cases = cases_that(count, **are)
        return [Request(client, f"{search}?q={quote(words(case))}") for case in cases]

    return Measure(f"search by {title}", prepare)


def misspelled(name: str) -> str:
    """The name with its middle letter wrong, as somebody heard it."""
    middle = len(name) // 2
    return name[:middle] + ("e" if name[middle] != "e" else "o") + name[middle + 1 :]


def _day(case: Any) -> str:
    return timezone.localtime(case.reported_at).strftime("%d %b %Y")


def _list(title: str, asked: str = "", *, role: Role = Role.INVESTIGATOR) -> Measure:
    def prepare(count: int) -> list[Request]:
        client = _signed_in(role)
        return [Request(client, reverse("cases:list") + asked)] * count

    return Measure(title, prepare)


def _deep_pages(count: int) -> list[Request]:
    client, path = _signed_in(Role.INVESTIGATOR), reverse("cases:list")
    cases = sorted(cases_that(count * 2), key=lambda case: case.reported_at)[:count]
    keys = [f"{case.reported_at.isoformat()}_{case.pk}" for case in cases]
    return [Request(client, f"{path}?after={quote(key)}") for key in keys]


def _finding_panels(count: int) -> list[Request]:
    client, requests = _signed_in(Role.PATHOLOGIST), []
    for case in cases_that(count, state=OPEN, **EXAMINED):
        finding = Finding.objects.filter(case=case).order_by("number").first()
        path = reverse("findings:chart", args=[case.pk])
        requests.append(Request(client, f"{path}?finding={finding.pk}"))
    return requests


def _photograph_pages(name: str) -> Callable[[int], list[Request]]:
    def prepare(count: int) -> list[Request]:
        client, requests = _signed_in(Role.PATHOLOGIST), []
        for case in cases_that(count, **EXAMINED):
            one = Photograph.objects.filter(case=case).order_by("number").first()
            requests.append(Request(client, reverse(name, args=[case.pk, one.pk])))
        return requests

    return prepare


def _item_pages(count: int) -> list[Request]:
    client, requests = _signed_in(Role.EVIDENCE_TECHNICIAN), []
    for case in cases_that(count, **ITEMS_SEEN):
        item = Item.objects.filter(case=case, kind="specimen").order_by("number").first()
        requests.append(Request(client, reverse("custody:item", args=[case.pk, item.pk])))
    return requests


def _log_reports(count: int) -> list[Request]:
    client, path = _signed_in(Role.INVESTIGATOR), reverse("cases:log-report")
    names = Decedent.objects.order_by("pk").values_list("family_name", flat=True)[:count]
    return [
        Request(client, path, typed(first_call(family_name=name or "Hallstead")), expected=302)
        for name in names
    ]


def _record_findings(count: int) -> list[Request]:
    client, requests = _signed_in(Role.PATHOLOGIST), []
    for number, case in enumerate(cases_that(count, state=OPEN, **EXAMINED)):
        at = anchors()[number * 3 % len(anchors())]
        mark = {"id": str(new_id()), "view": at.view, "kind": "point", "points": [[at.u, at.v]]}
        said = {
            "klass": "injury",
            "term": "Contusion",
            "length_cm": "3.5",
            "width_cm": "2",
            "measured_by": "ruler",
            "seen_as": "Oval, blurred edges.",
            "marks": json.dumps([mark]),
        }
        path = reverse("findings:finding-new", args=[case.pk])
        requests.append(Request(client, path, typed(said), expected=302))
    return requests


def _record_transfers(count: int) -> list[Request]:
    client, requests = _signed_in(Role.EVIDENCE_TECHNICIAN), []
    for case in cases_that(count, **ITEMS_SEEN):
        item = Item.objects.filter(case=case, kind="specimen").order_by("number").first()
        last = item.transfers.order_by("at").last()
        said = {
            "from_party": last.to_party,
            "to_party": "Courier" if "Larch" in last.to_party else "Larch histology laboratory",
            "to_where": "outside",
            "at": timezone.now(),
            "place": "Loading dock",
            "purpose": "histology",
            "seal_state": "intact",
        }
        path = reverse("custody:transfer", args=[case.pk, item.pk])
        requests.append(Request(client, path, typed(said, version=item.version), expected=302))
    return requests


def _add_photographs(count: int) -> list[Request]:
    client, requests = _signed_in(Role.PATHOLOGIST), []
    for number, case in enumerate(cases_that(count, state=OPEN, **EXAMINED)):
        said = {
            "upload": SimpleUploadedFile(f"DSC_{number:04d}.jpg", _picture(), "image/jpeg"),
            "photographer": "Pathologist 1",
            "place": "examination",
            "view": "close-up",
            "region": "chest",
            "shows": "Front of the chest",
        }
        path = reverse("evidence:photographs-add", args=[case.pk])
        requests.append(Request(client, path, typed(said), expected=302))
    return requests


def _picture() -> bytes:
    buffer = io.BytesIO()
    picture = Image.linear_gradient("L").resize((1200, 900)).convert("RGB")
    picture.save(buffer, "JPEG", quality=90, comment=new_id().bytes)
    return buffer.getvalue()


_I, _P, _S = Role.INVESTIGATOR, Role.PATHOLOGIST, Role.SUPERVISOR
_C, _T = Role.RECORDS_CLERK, Role.EVIDENCE_TECHNICIAN
_SIGNED = {"state": CaseState.SIGNED.value}
_UNDER_REVIEW = {"state": CaseState.IN_REVIEW.value}
_OPEN = {"state": OPEN}


def _office_page(title: str, name: str, role: Role) -> Measure:
    def prepare(count: int) -> list[Request]:
        return [Request(_signed_in(role), reverse(name))] * count

    return Measure(title, prepare)


MEASURES: tuple[Measure, ...] = (
    *(_first_page(role) for role in Role if role in CASE_ROLES),
    _search("number", lambda case: case.number, number__isnull=False),
    _search("part of a number", lambda case: case.number[-3:], number__isnull=False),
    _search("misspelled name", lambda case: misspelled(case.decedent.family_name or "Halsted")),
    _search("whole name", lambda case: case.decedent.full_name),
    _search("given name", lambda case: case.decedent.given_names or "Oren"),
    _search("place", lambda case: case.place_of_death.rsplit(" ", 1)[0].split(",")[0]),
    _search("day", _day),
    _list("case list, first page"),
    _list("case list, open cases", "?state=open"),
    _list("case list, my cases", "?mine=1"),
    Measure("case list, deep page", _deep_pages),
    _case_page("case overview", "cases:case", _I, number__isnull=False),
    _case_page("first call", "cases:report", _I),
    _case_page("scene", "cases:scene", _I, scene__isnull=False),
    _case_page("scene, form", "cases:edit-scene", _I, scene__isnull=False, **_OPEN),
    _case_page("body", "cases:body", _I, body_receipt__isnull=False),
    _case_page("assignment", "cases:assignment", _S, **_OPEN),
    _case_page("examination", "findings:examination", _P, **_OPEN, **EXAMINED),
    _case_page("body chart", "findings:chart", _P, **_OPEN, **EXAMINED),
    _case_page("body chart, signed case", "findings:chart", _P, **_SIGNED),
    Measure("body chart, one finding", _finding_panels),
    _case_page("organ weights", "findings:organs", _P, **_OPEN, **EXAMINED),
    _case_page("photographs", "evidence:photographs", _P, **EXAMINED),
    Measure("photograph", _photograph_pages("evidence:photograph")),
    Measure("photograph, small copy", _photograph_pages("evidence:photograph-thumb")),
    _case_page("specimens", "evidence:specimens", _P, **EXAMINED),
    _case_page("property", "evidence:property", _P, **EXAMINED),
    _case_page("custody", "custody:case", _T, **ITEMS_SEEN),
    Measure("custody of one item", _item_pages),
    _case_page("cause and manner", "certification:cause-and-manner", _P, **_OPEN),
    _case_page("report, open case", "review:report", _P, **_OPEN, report__isnull=False),
    _case_page("report, signed case", "review:report", _P, **_SIGNED),
    _case_page("review", "review:review", _S, **_UNDER_REVIEW),
    _case_page("history", "history:case-history", _S, **_SIGNED),
    _case_page("readers", "history:case-readers", _S, **_SIGNED),
    _case_page("court", "court:requests", _C, recordsrequest_set__isnull=False),
    _case_page("packets", "packets:packets", _C, packet_set__isnull=False),
    _office_page("requests of the office", "court:office-requests", _C),
    _office_page("what waits", "measures:waiting", _S),
    _office_page("measures", "measures:measures", _S),
    Measure("log a report of death", _log_reports, action=True),
    Measure("record a finding", _record_findings, action=True),
    Measure("record a transfer", _record_transfers, action=True),
    Measure("add a photograph", _add_photographs, action=True),
)
