"""Makes one answer, from what was decided to a ZIP in a private folder.

Nothing of it can be seen before it is published; a worker that is killed anywhere leaves at most a
folder, a file that no row names, and page numbers that stand on no page.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from uuid import UUID

from cases.answers import queries
from cases.answers.actions import MadeAnswer, NumberedPart, give_page_numbers
from cases.answers.chosen import Chosen, approval_of, cases_asked_for, decided_now, demands_of
from cases.answers.combining import CannotCombine, Part, combine, pages_of
from cases.answers.comparing import Held
from cases.answers.contents import Contents, Document, gather
from cases.answers.listing import (
    OWN,
    certificate_sheet,
    contents_sheet,
    exhibit_rows,
    exhibit_sheet,
    page_rows,
    readme,
    withheld_rows,
    withheld_sheet,
)
from cases.answers.models import Answer, PageRun
from cases.answers.rules import page_words
from cases.answers.sheets import Sheet, write_sheet
from cases.court.marking import OrderTold, orders_of
from cases.packets import store
from cases.packets.bag import make_bag_of, write_csv, write_json, write_zip
from cases.packets.outgoing import CannotBuild
from me_office.jobs.actions import note_progress
from me_office.jobs.running import Stage

COMBINED = "answer.pdf"
CLOSED = (
    "Something keeps it from being built. The request also asks for a case that is open to its "
    "named team only; a member of the team sees on the request’s page what is lacking."
)


@contextmanager
def build(
    answer_id: UUID, attempt: int, *, reached: Stage = lambda stage: None
) -> Iterator[MadeAnswer]:
    """Make the answer, publish its file and lend it; the block finishes it by an action.

    Where the block fails the file is removed. `reached` is told each stage as it begins. Raises
    CannotBuild.
    """
    answer = queries.answer_to_build(answer_id)
    with _tells_all(answer):
        chosen = _chosen(answer)
    store.remove_left_folders()
    with store.work_folder(answer.pk, attempt) as work, _tells_all(answer):
        made = write_answer(
            answer,
            chosen,
            work,
            give=lambda count: give_page_numbers(
                answer.created_by, answer_id=answer.pk, attempt=attempt, count=count
            ),
            reached=reached,
        )
        reached("publish")
        _say(answer, 95, "puts the packet into the store")
        size = made.zip.stat().st_size
        path, digest = store.publish(made.zip, packet_id=answer.pk, attempt=attempt)
    with store.until_finished(answer, path, attempt=attempt):
        reached("published")
        with _tells_all(answer):
            # Decided otherwise, or another file attached, while this was being built.
            _chosen(answer)
        yield MadeAnswer(
            path=path,
            sha256=digest,
            size_bytes=size,
            pages=made.pages,
            photographs=made.photographs,
            files=made.files,
            withheld=made.withheld,
            run_id=made.run.pk,
            sent_items=held_of(chosen),
            parts=made.parts,
        )


def held_of(chosen: Sequence[Chosen]) -> list[Held]:
    """Return what goes out as it is kept with the answer, to be compared when it leaves."""
    return [
        Held(
            one.kind.value,
            one.item,
            one.case_id,
            (one.number or one.label)[:80],
            one.outcome.value,
            one.digest,
            one.copy_digest,
        )
        for one in chosen
        if one.goes_out
    ]


@contextmanager
def _tells_all(answer: Answer) -> Iterator[None]:
    """Let a failure tell nothing of a further case that is open to its named team only.

    It is shown to all who may see the case under which the request is logged.
    """
    try:
        yield
    except CannotBuild as error:
        further = (one for one in cases_asked_for(answer.request) if one.pk != answer.case_id)
        if any(one.restricted for one in further):
            raise CannotBuild(CLOSED) from error
        raise


def _chosen(answer: Answer) -> Sequence[Chosen]:
    """Return what goes out, read once with what was approved. Raises CannotBuild."""
    lacks, digest, chosen = decided_now(answer.request, answer.created_by)
    if lacks:
        raise CannotBuild(" ".join(lacks))
    approval = approval_of(answer.request)
    if approval is None or not approval[0] == digest == answer.decided:
        raise CannotBuild(
            "What goes out was decided anew since this was asked for. Build another answer."
        )
    return chosen


def _say(answer: Answer, percent: int, step: str) -> None:
    note_progress(answer.pk, percent=percent, step=step)


@dataclass(frozen=True)
class Written:
    """What lies ready in the private folder."""

    zip: Path
    run: PageRun
    pages: int
    photographs: int
    files: int
    withheld: int
    parts: Sequence[NumberedPart]


def write_answer(
    answer: Answer,
    chosen: Sequence[Chosen],
    work: Path,
    *,
    give: Callable[[int], PageRun],
    reached: Stage = lambda stage: None,
) -> Written:
    """Write everything into a private folder, and pack it. Raises CannotBuild.

    `give` gives so many page numbers. The same decisions and numbers give the same bytes.
    """
    name = bag_name(answer)
    folder, parts = work / name, work / "parts"
    folder.mkdir()
    parts.mkdir()
    reached("photographs")
    contents = gather(
        answer, chosen, folder=folder, parts=parts,
        beat=lambda done, total: _say(
            answer, 5 + 35 * done // max(total, 1), f"copies photographs, {done} of {total}"
        ),
    )  # fmt: skip
    reached("documents")
    _say(answer, 42, "writes the documents")
    orders = orders_of(answer.request)
    run, documents = _numbered(answer, contents, chosen, parts, give, orders)
    reached("combine")
    _say(answer, 55, "numbers the pages")
    pages = _combine(answer, documents, run, folder, work)
    reached("lists")
    numbered = _parts(documents, run)
    write_csv(folder / "page-numbers.csv", page_rows(numbered, run.series))
    write_csv(folder / "withholding-log.csv", withheld_rows(chosen))
    if contents.photographs or contents.enclosed:
        write_csv(folder / "exhibit-list.csv", exhibit_rows(contents))
    write_json(folder / "answer.json", _as_values(answer, numbered, run, chosen, orders))
    files = sum(1 for path in folder.rglob("*") if path.is_file())
    said = readme(answer, contents, run, pages, name, orders)
    (folder / "README.txt").write_text(said, encoding="utf-8")
    reached("bag")
    _say(answer, 80, "computes the digests")
    make_bag_of(
        folder,
        contact=answer.created_by.printed_name,
        what=f"Answer {answer.number} in case {answer.case.label} to {answer.request}",
        case_label=answer.case.label,
        key=answer.pk,
        at=answer.decided_at,
    )
    reached("zip")
    _say(answer, 88, "packs the files")
    packed = work / f"{name}.zip"
    write_zip(folder, packed, name=name, at=answer.decided_at)
    return Written(
        zip=packed,
        run=run,
        pages=pages,
        photographs=len(contents.sent_photographs),
        files=files + 1,
        withheld=sum(1 for one in chosen if one.outcome.value == "withhold"),
        parts=numbered,
    )


def bag_name(answer: Answer) -> str:
    """Return the name of the answer's folder and ZIP."""
    name = f"case-{answer.case.label}-answer-{answer.number}"
    return name.replace(" ", "-").replace("/", "-")


def _numbered(
    answer: Answer,
    contents: Contents,
    chosen: Sequence[Chosen],
    parts: Path,
    give: Callable[[int], PageRun],
    orders: Sequence[OrderTold] = (),
) -> tuple[PageRun, list[Document]]:
    """Write what the office says about the whole, and give all pages their numbers.

    The list of contents names the pages behind it and is one of them: it is written once to learn
    how long it is, and again with the numbers.
    """
    about = f"Case {answer.case.label}, answer {answer.number}"

    def own(sheet: Sheet, name: str) -> Document:
        there = parts / f"{name}.pdf"
        pages = write_sheet(sheet, there, about=about, at=answer.decided_at)
        return Document(OWN, name, answer.case_id, sheet.title, there, pages)

    behind = list(contents.documents)
    if answer.with_exhibit_list and (contents.photographs or contents.enclosed):
        behind.append(own(exhibit_sheet(contents), "exhibit-list"))
    if any(one.ground for one in chosen):
        behind.append(own(withheld_sheet(chosen, contents.codes), "withholding-log"))
    if answer.with_certificate:
        behind.append(
            own(
                certificate_sheet(
                    answer, contents.documents, contents, queries.certificate_words()
                ),
                "certificate",
            )
        )
    demands = demands_of(answer.request)

    def listed(first: int, own_pages: int, say: Callable[[int], str]) -> Document:
        sheet = contents_sheet(
            answer, behind, contents, demands, say=say, first=first + own_pages, orders=orders
        )
        return replace(own(sheet, "contents"), title="Contents")

    pages = listed(1, 1, str).pages
    total = pages + sum(one.pages for one in behind)
    run = give(total)
    series = run.series

    def say(number: int) -> str:
        return page_words(series.prefix, series.digits, number)

    front = listed(run.first, pages, say)
    if front.pages != pages:
        raise CannotBuild("The list of contents does not fit its pages. Tell an administrator.")
    return run, [front, *behind]


def _combine(
    answer: Answer, documents: Sequence[Document], run: PageRun, folder: Path, work: Path
) -> int:
    series = run.series
    there = work / COMBINED
    try:
        pages = combine(
            [Part(one.path, one.title) for one in documents],
            there,
            first=run.first,
            number=lambda number: page_words(series.prefix, series.digits, number),
            prefix=series.prefix,
            digits=series.digits,
            title=f"Case {answer.case.label}, answer {answer.number}",
            at=answer.decided_at,
            beat=lambda done, total: (
                _say(answer, 55 + 20 * done // total, f"numbers the pages, {done} of {total}")
                if done % 50 == 0
                else None
            ),
        )
    except CannotCombine as error:
        raise CannotBuild(f"A document can't be opened: {error}.") from error
    if pages != run.last - run.first + 1 or pages != pages_of(there):
        raise CannotBuild("The pages and their numbers differ. Tell an administrator.")
    there.rename(folder / COMBINED)
    return pages


def _parts(documents: Sequence[Document], run: PageRun) -> list[NumberedPart]:
    numbered, at = [], run.first
    for one in documents:
        numbered.append(
            NumberedPart(
                first=at,
                last=at + one.pages - 1,
                kind=one.kind,
                item=one.item,
                label=one.title,
                digest=one.sha256,
                demand=one.demand,
                case_id=one.case_id,
            )
        )
        at += one.pages
    return numbered


def _as_values(
    answer: Answer,
    numbered: Sequence[NumberedPart],
    run: PageRun,
    chosen: Sequence[Chosen],
    orders: Sequence[OrderTold],
) -> dict[str, object]:
    series = run.series
    return {
        "answer": answer.number,
        "case": answer.case.label,
        "request": str(answer.request),
        "decided": answer.decided,
        "approved_at": answer.decided_at.isoformat(),
        "protective_orders": [one.words for one in orders],
        "pages": [
            {
                "first": page_words(series.prefix, series.digits, one.first),
                "last": page_words(series.prefix, series.digits, one.last),
                "document": one.label,
                "demand": one.demand,
                "sha256": one.digest or None,
            }
            for one in numbered
        ],
        "kept_back": [
            dict(zip(("demand", "item", "what", "treatment", "ground", "citation"), row,
                     strict=True))
            for row in list(withheld_rows(chosen))[1:]
        ],
    }  # fmt: skip
