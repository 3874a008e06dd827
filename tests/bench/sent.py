"""An answer to a request: 300 numbered pages and 120 photographs as one packet."""

from __future__ import annotations

import io
import tempfile
import time
from pathlib import Path

import pikepdf
from django.utils import timezone
from PIL import Image

from cases.answers.build import write_answer
from cases.answers.models import Answer, PageRun, PageSeries
from cases.court.models import RecordsRequest
from cases.decisions.ready import ReadyItem
from cases.decisions.rules import ItemKind, Outcome
from cases.models import Case
from cases.statements.models import Statement
from evidence import store
from evidence.store.models import StoredFile
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.bench.evidence import Compared, fresh_database
from tests.bench.printed import forget_peak, peak_mb
from tests.bench.servers import Servers
from tests.builders import make_case, make_staff
from tests.evidence.log_rows import fill_log
from tests.findings.builders import make_examination, make_finding
from tests.packets.builders import make_request

TITLE = "answer of 300 pages and 120 photographs as one packet"
PAGES, PHOTOGRAPHS = 300, 120
MOST_SECONDS, MOST_MORE_MB = 30.0, 300


def sent_times(servers: Servers, only: str = "") -> list[Compared]:
    """Measure it where its title holds `only`, on a database made for it."""
    if only not in TITLE:
        return []
    with fresh_database(servers):
        by = make_staff(Role.RECORDS_CLERK, Role.PATHOLOGIST, name="R. Ostrander")
        return sent(*large_answer(by, PAGES, PHOTOGRAPHS))


def large_answer(
    by: Staff, pages: int, photographs: int, *, width_px: int = 2400
) -> tuple[Answer, list[ReadyItem]]:
    """A case whose statement of so many pages and whose photographs all go out."""
    case = make_case(by=by)
    finding = make_finding(make_examination(case=case, by=by))
    picture = io.BytesIO()
    Image.effect_noise((width_px, width_px * 2 // 3), 50).convert("RGB").save(picture, "JPEG")
    files = [
        _kept(picture.getvalue() + number.to_bytes(4, "big"), "image/jpeg")
        for number in range(photographs)
    ]
    rows = fill_log(by, case, photographs, finding, files=files)
    statement = Statement.objects.create(
        case=case, kind="deposition", given_on=timezone.localdate(), speaker="P. Sedge",
        taken_down="certified", file=_kept(_pages(pages), "application/pdf"), state="made",
        pages_read=pages, lines_printed=False, created_by=by, changed_by=by,
    )  # fmt: skip
    asked: RecordsRequest = make_request(case, by)
    answer = Answer(
        pk=new_id(), case=case, request=asked, number=1, decided="d" * 64,
        decided_at=timezone.now(), created_at=timezone.now(), created_by=by, changed_by=by,
    )  # fmt: skip
    chosen = [
        _ready(case, ItemKind.STATEMENT, str(statement.pk), "Deposition"),
        *(_ready(case, ItemKind.PHOTOGRAPH, str(row.pk), f"P {row.number}") for row in rows),
    ]
    return answer, chosen


def _ready(case: Case, kind: ItemKind, key: str, label: str) -> ReadyItem:
    return ReadyItem(kind, case.pk, key, "", label, Outcome.RELEASE, (1,), "d" * 64)


def _pages(count: int) -> bytes:
    """A PDF of so many pages, each a scan of its own."""
    written = io.BytesIO()
    with pikepdf.new() as pdf:
        for number in range(count):
            scan = io.BytesIO()
            Image.effect_noise((850, 1100), 20 + number % 30).save(scan, "JPEG", quality=60)
            page = pdf.add_blank_page(page_size=(612, 792))
            image = pikepdf.Stream(pdf, scan.getvalue())
            image.stream_dict = pikepdf.Dictionary(
                Type=pikepdf.Name.XObject, Subtype=pikepdf.Name.Image, Width=850, Height=1100,
                ColorSpace=pikepdf.Name.DeviceGray, BitsPerComponent=8,
                Filter=pikepdf.Name.DCTDecode,
            )  # fmt: skip
            page.add_resource(image, pikepdf.Name.XObject, pikepdf.Name.Scan)
            page.contents_add(b"q 612 0 0 792 0 0 cm /Scan Do Q")
        pdf.save(written)
    return written.getvalue()


def _kept(content: bytes, media_type: str) -> StoredFile:
    with store.receive(io.BytesIO(content), name="file") as incoming:
        return store.publish(incoming.recognized(media_type=media_type))


def sent(answer: Answer, chosen: list[ReadyItem]) -> list[Compared]:
    """Write the packet as a worker does; time, pages and memory."""
    series = PageSeries(prefix="TC-", digits=6, plain="TC")
    with tempfile.TemporaryDirectory(prefix="answer-") as name:
        forget_peak()
        before, begun = peak_mb(), time.perf_counter()
        made = write_answer(
            answer, chosen, Path(name),
            give=lambda count: PageRun(series=series, answer=answer, first=1, last=count),
        )  # fmt: skip
        took, more = time.perf_counter() - begun, peak_mb() - before
        size = made.zip.stat().st_size / 1e6
    words = f"s for {made.pages} pages, {made.photographs} photographs, {size:.0f} MB"
    return [
        Compared(
            TITLE, took, words, f"at most {MOST_SECONDS:g}", "slow" if took > MOST_SECONDS else ""
        ),
        Compared(
            TITLE, more, f"MB more than the {before:.0f} before", f"at most {MOST_MORE_MB}",
            "memory" if more > MOST_MORE_MB else "",
        ),
    ]  # fmt: skip
