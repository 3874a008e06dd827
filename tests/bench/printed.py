"""A long report: printed with its photographs, changed and shown again, and checked."""

from __future__ import annotations

import io
import re
import statistics
import time
from collections.abc import Callable
from pathlib import Path

from django.test import Client
from django.urls import reverse
from PIL import Image

from cases.checking.queries import checks_of
from cases.models import Case
from cases.packets.material import material_of
from cases.packets.printing import print_report
from cases.review.actions import write_report
from cases.review.models import Report
from evidence import store
from evidence.photographs.models import DerivedImage
from evidence.store.models import StoredFile
from findings.models import Finding
from findings.rules import FindingClass
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.bench.evidence import Compared, fresh_database
from tests.bench.servers import Servers
from tests.builders import make_case, make_staff
from tests.evidence.log_rows import fill_log
from tests.findings.builders import make_examination, make_finding

PRINTED = "report with 100 photographs as PDF"
SECTION = "report of 300 findings, one section changed and shown"
CHECKED = "checks of a case of 300 findings, with what is read"
TITLES = (PRINTED, SECTION, CHECKED)
PHOTOGRAPHS, FINDINGS = 100, 300
MOST_SECONDS = {PRINTED: 10.0, SECTION: 1.0, CHECKED: 0.2}
MOST_MB, LEAST_PAGES = 1000, 60
LONG = (
    "An oval abrasion, red-brown and dry, with its long axis across the limb and without bleeding "
    "in the tissue below; its edges are blurred toward the midline and sharp on the outer side. "
)


def printed_times(servers: Servers, only: str = "", *, visits: int = 5) -> list[Compared]:
    """Measure what the title of which holds `only`, on a database made for it."""
    titles = [title for title in TITLES if only in title]
    if not titles:
        return []
    with fresh_database(servers):
        by = make_staff(Role.PATHOLOGIST, name="I. Vasko", credentials="MD")
        case = long_case(by, PHOTOGRAPHS, FINDINGS)
        measures = {
            PRINTED: lambda: printed(case),
            SECTION: lambda: [_seconds(SECTION, visits, lambda: change_and_show(case, by))],
            CHECKED: lambda: [_seconds(CHECKED, visits, lambda: checks_of(case))],
        }
        return [line for title in titles for line in measures[title]()]


def long_case(by: Staff, photographs: int, findings: int, *, width_px: int = 1600) -> Case:
    """A case with so many photographs, each with the copy that goes out, and long findings."""
    case = make_case(by=by)
    examination = make_examination(case=case, by=by)
    first = make_finding(examination)
    Finding.objects.bulk_create(
        Finding(
            case=case, examination=examination, number=number, klass=FindingClass.INJURY.value,
            term="Abrasion", place="Left thigh", seen_as=LONG * 2 + f"It is number {number}.",
            created_by=by, changed_by=by,
        )
        for number in range(2, findings + 1)
    )  # fmt: skip
    rows = fill_log(by, case, photographs, first)
    screens = [_screen_copy(number, width_px) for number in range(4)]
    DerivedImage.objects.bulk_create(
        DerivedImage(photograph=row, kind="screen", file=screens[n % 4], method="noise")
        for n, row in enumerate(rows)
    )
    write_report(
        by, case_id=case.pk, record_id=new_id(), version=0,
        entry={"opinion": LONG * 3, "history": LONG, "summary": LONG},
    )  # fmt: skip
    return case


def _screen_copy(seed: int, width_px: int) -> StoredFile:
    size, content = (width_px, width_px * 2 // 3), io.BytesIO()
    noise = Image.effect_noise(size, 40 + seed).convert("RGB")
    noise.save(content, "JPEG", quality=85)
    content.seek(0)
    with store.receive(content, name="screen") as incoming:
        return store.publish(incoming.recognized(media_type="image/jpeg"), folder=store.DERIVED)


def printed(case: Case) -> list[Compared]:
    """Print the report as a worker does, with its photographs; time, pages and memory."""
    forget_peak()
    before = peak_mb()
    begun = time.perf_counter()
    report = print_report(material_of(case.pk), with_photographs=True)
    took, more = time.perf_counter() - begun, peak_mb()
    words = f"s for {report.pages} pages"
    missed = "short" if report.pages < LEAST_PAGES else _slow(PRINTED, took)
    memory = f"MB at most, {before:.0f} before"
    return [
        Compared(PRINTED, took, words, f"at most {MOST_SECONDS[PRINTED]:g}", missed),
        Compared(PRINTED, more, memory, f"at most {MOST_MB}", "" if more <= MOST_MB else "memory"),
    ]


def change_and_show(case: Case, by: Staff) -> None:
    """Write another opinion, and open the report's page again."""
    version = Report.objects.get(case=case).version
    entry = {"opinion": f"{LONG} {version}", "history": LONG, "summary": LONG}
    write_report(by, case_id=case.pk, record_id=new_id(), version=version, entry=entry)
    client = Client()
    client.force_login(by)
    page = client.get(reverse("review:report", args=[case.pk]))
    assert page.status_code == 200, page.status_code


def _seconds(title: str, visits: int, act: Callable[[], object]) -> Compared:
    took = []
    for _ in range(visits):
        begun = time.perf_counter()
        act()
        took.append(time.perf_counter() - begun)
    middle = statistics.median(took)
    words = f"s, the middle of {visits}"
    return Compared(title, middle, words, f"at most {MOST_SECONDS[title]:g}", _slow(title, middle))


def _slow(title: str, seconds: float) -> str:
    return "" if seconds <= MOST_SECONDS[title] else "slow"


def forget_peak() -> None:
    """Let the kernel count the most memory of this process anew (Linux)."""
    Path("/proc/self/clear_refs").write_text("5", encoding="ascii")


def peak_mb() -> float:
    status = Path("/proc/self/status").read_text(encoding="ascii")
    found = re.search(r"VmHWM:\s+(\d+) kB", status)
    return int(found[1]) / 1024 if found else float("nan")
