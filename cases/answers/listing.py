"""What an answer says about itself: contents, exhibits, what was kept back, how to check it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from django.conf import settings

from cases.answers.certificate import COUNSEL, paragraphs
from cases.answers.chosen import Chosen
from cases.answers.contents import COVER_LETTER, Contents, Document
from cases.answers.models import Answer, PageRun, PageSeries
from cases.answers.records import OWN
from cases.answers.rules import page_words, range_words
from cases.answers.saying import KEPT_BACK, SENT_LAW
from cases.answers.sheets import Sheet, SheetPart
from cases.court.marking import HEADS as ORDER_HEADS
from cases.court.marking import TITLE as ORDERS
from cases.court.marking import OrderTold, readme_words
from cases.court.models import Demand
from cases.decisions.rules import Outcome, log_words
from cases.packets.custody_record import when_words
from cases.packets.readme import HOW_TO_CHECK
from cases.packets.rules import RELEASE_PICTURES
from me_office.shell.templatetags.office import day, moment

__all__ = ["OWN"]

TREATED = {Outcome.WITHHOLD: "withheld", Outcome.REDACT: "sent in part, redacted"}
NOT_THERE = {
    Outcome.MISSING: "does not exist",
    Outcome.NOT_OURS: "not in this office",
}


def page_rows(parts: Sequence[object], series: PageSeries) -> Iterator[list[str]]:
    """Yield which document stands on which numbered pages."""
    yield ["First page", "Last page", "Document", "Demand", "SHA-256 of the document"]
    for one in parts:
        yield [
            page_words(series.prefix, series.digits, one.first),  # type: ignore[attr-defined]
            page_words(series.prefix, series.digits, one.last),  # type: ignore[attr-defined]
            one.label,  # type: ignore[attr-defined]
            str(one.demand or ""),  # type: ignore[attr-defined]
            one.digest,  # type: ignore[attr-defined]
        ]


def withheld_rows(chosen: Sequence[Chosen]) -> Iterator[list[str]]:
    """Yield what was kept back, on which ground, and nothing of what it shows."""
    yield ["Demand", "Item", "What it is", "Treatment", "Ground", "Law or order"]
    for one in chosen:
        if one.outcome not in TREATED:
            continue
        named, what = log_words(one.kind.value, one.number)
        yield [
            ", ".join(str(number) for number in one.demands),
            named,
            what,
            TREATED[one.outcome],
            one.ground,
            one.citation,
        ]


def withheld_sheet(chosen: Sequence[Chosen], codes: Sequence[tuple[str, str, str]] = ()) -> Sheet:
    """Return the withholding log as a document, with what the codes on bars stand for."""
    heads, *rows = withheld_rows(chosen)
    parts = [SheetPart(columns=heads, widths=(2, 3, 3, 3, 5, 4), rows=rows)]
    if codes:
        named = ("Code", "Reason", "Law or order")
        parts.append(SheetPart("Codes on the redacted pages", (), named, (2, 6, 5), codes))
    return Sheet("Withholding log", parts=parts, cautions=[KEPT_BACK.text])


def exhibit_rows(contents: Contents) -> Iterator[list[str]]:
    """Yield the photographs that are sent, each with its file and digests."""
    yield ["Case", "Number", "File", "Shows", "Taken", "Sent as", "Reason", "SHA-256 of the file",
           "SHA-256 of the original", "Length in bytes"]  # fmt: skip
    for case, base, sent in contents.photographs:
        for one in sent:
            photograph = one.one.photograph
            yield [
                case.label,
                str(photograph.number),
                f"{base}{one.path}",
                "" if one.is_redacted else photograph.shows,
                when_words(photograph.taken_at),
                one.form.value,
                one.why,
                one.sha256,
                one.one.sha256,
                str(one.size_bytes),
            ]
    for file in contents.enclosed:
        yield [file.case_label, "", file.path, file.title, "", "file", "", file.sha256,
               file.sha256, str(file.size_bytes)]  # fmt: skip


def exhibit_sheet(contents: Contents) -> Sheet:
    """Return the list of photographs as a document."""
    rows = [
        [row[1], row[3] or f"Redacted: {row[6]}", row[4], row[5], row[2].rpartition("/")[2]]
        for row in list(exhibit_rows(contents))[1:]
    ]
    part = SheetPart(
        columns=("No.", "Shows", "Taken", "Sent as", "File"),
        widths=(1, 5, 3, 2, 5),
        rows=rows,
    )
    intro = ["They are files of the packet. The digest of each stands in exhibit-list.csv."]
    title = "List of photographs and files" if contents.enclosed else "List of photographs"
    return Sheet(title, intro=intro, parts=[part])


def contents_sheet(
    answer: Answer,
    documents: Sequence[Document],
    contents: Contents,
    demands: Sequence[Demand],
    *,
    say: Callable[[int], str],
    first: int,
    orders: Sequence[OrderTold] = (),
) -> Sheet:
    """Return the list of contents; its documents begin at the page `first`."""
    rows, at = [], first
    for one in documents:
        last = at + one.pages - 1
        pages = say(at) if one.pages == 1 else f"{say(at)} to {say(last)}"
        rows.append([pages, one.title, str(one.demand or ""), str(one.pages)])
        at = last + 1
    asked = answer.request
    cause = f", cause {asked.cause_number}" if asked.cause_number else ""
    parts = []
    if orders:
        # Before anything else, so that whoever opens the answer reads it first.
        parts.append(
            SheetPart(
                ORDERS, columns=ORDER_HEADS, widths=(2, 5, 3, 4), rows=[one.row for one in orders]
            )
        )
    parts += [
        SheetPart(
            "Documents", columns=("Pages", "Document", "Demand", "Count"), widths=(4, 6, 1, 1),
            rows=rows,
        )
    ]  # fmt: skip
    sent = contents.sent_photographs
    if sent:
        hidden = sum(1 for one in sent if one.is_redacted)
        words = f"{_counted(len(sent), 'photograph')} as files"
        parts.append(SheetPart(words=[f"{words}, {hidden} redacted." if hidden else f"{words}."]))
    if contents.enclosed:
        parts.append(
            SheetPart(
                "Files", columns=("File", "What it is", "Length in bytes"), widths=(5, 5, 2),
                rows=[(one.path, one.title, str(one.size_bytes)) for one in contents.enclosed],
            )
        )  # fmt: skip
    if contents.beside:
        parts.append(
            SheetPart("Beside the numbered pages", words=[one.label for one in contents.beside])
        )
    if contents.elsewhere:
        parts.append(
            SheetPart(
                "Handed over separately", words=[f"{one.label}." for one in contents.elsewhere]
            )
        )
    kept = [one for one in contents.not_sent if one.outcome is Outcome.WITHHOLD]
    if kept:
        named = "is named in the withholding log" if len(kept) == 1 else "are named in the log"
        parts.append(
            SheetPart("Kept back", words=[f"{_counted(len(kept), 'item')} kept back {named}."])
        )
    told = [
        f"{one.label}: {NOT_THERE[one.outcome]}{f'; {one.held_by} has it' if one.held_by else ''}."
        for one in contents.not_sent
        if one.outcome in NOT_THERE
    ]
    if told:
        parts.append(SheetPart("Not sent", words=told))
    return Sheet(
        title=f"Answer {answer.number}",
        facts=[
            ("Request", f"{asked.get_kind_display().capitalize()}{cause}"),
            ("Court", asked.court),
            ("Requesting party", asked.party),
            ("Served", day(asked.served_on)),
            ("Demands", "\n".join(f"{one.number}. {one.title}" for one in demands)),
            ("Approved", moment(answer.decided_at)),
        ],
        parts=parts,
        cautions=[SENT_LAW.text],
    )


def certificate_sheet(
    answer: Answer, documents: Sequence[Document], contents: Contents, words: str
) -> Sheet:
    """Return the certificate for the custodian's signature, with the digests that it names."""
    asked = answer.request
    values = {
        "office": settings.OFFICE_NAME,
        "case": answer.case.label,
        "request": asked.get_kind_display(),
        "cause": asked.cause_number,
        "party": asked.party,
        "court": asked.court,
    }
    named = [
        [one.title, str(one.pages), _in_two(one.sha256)] for one in documents if one.kind != OWN
    ]
    files = [[row[2], row[9], _in_two(row[7])] for row in list(exhibit_rows(contents))[1:]]
    # The office's own letter is no record of the case; what was attached stands above.
    there = {COVER_LETTER, *(one.path for one in contents.enclosed)}
    kept = (one for one in contents.files if one[0] not in there)
    files += [
        [path, str(contents.sizes.get(path, "")), _in_two(digest)] for path, _, digest in kept
    ]
    return Sheet(
        title="Certificate of the records custodian",
        facts=[
            ("Case", answer.case.label),
            ("Request", str(asked)),
            ("Court", asked.court),
            ("Cause number", asked.cause_number),
        ],
        parts=[
            SheetPart(words=paragraphs(words, values)),
            SheetPart(
                "Documents", columns=("Document", "Pages", "SHA-256"), widths=(5, 1, 6), rows=named
            ),
            SheetPart(
                "Files" if files else "",
                columns=("File", "Bytes", "SHA-256"),
                widths=(5, 2, 6),
                rows=files,
            ),
        ],
        cautions=[COUNSEL.text],
        signatures=["Records custodian: name and title, signature, place and date"],
    )


def _in_two(digest: str) -> str:
    """Break a digest, which has no place of its own to break at."""
    return f"{digest[:32]}\n{digest[32:]}" if digest else ""


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


README = """\
{office}
Answer {number} in case {case}
To: {request}
Approved {approved}

{orders}What is here
------------
data/answer.pdf            every page that is sent, numbered {pages};
                           its first pages list the documents
data/page-numbers.csv      which document stands on which numbered pages
data/withholding-log.csv   what was kept back, and on which ground
{parts}data/answer.json           the same lists for programs

{how_to_check}

The office finds the record behind each page by the number below it.

A digest shows that a file is what was sent. It does not show that what the file says is right.
{caution}
"""


def readme(
    answer: Answer,
    contents: Contents,
    run: PageRun,
    pages: int,
    name: str,
    orders: Sequence[OrderTold] = (),
) -> str:
    """Return what a person who receives the packet reads first."""
    parts = ""
    if contents.photographs or contents.enclosed:
        parts += "data/exhibit-list.csv      photographs and files, their digests\n"
    if any(path == COVER_LETTER for path, _, _ in contents.files):
        parts += "data/cover-letter.pdf      the office’s letter\n"
    if contents.enclosed:
        parts += "data/.../files/            recordings and other files, as they are kept\n"
    enclosed = {one.path for one in contents.enclosed}
    if any(path != COVER_LETTER and path not in enclosed for path, _, _ in contents.files):
        parts += "data/.../documents/        documents as they are kept, with their signatures\n"
    series = run.series
    return README.format(
        office=f"{settings.OFFICE_NAME}, {settings.OFFICE_ADDRESS}",
        number=answer.number,
        case=answer.case.label,
        request=answer.request,
        approved=moment(answer.decided_at),
        pages=range_words(series.prefix, series.digits, run.first, run.last),
        parts=parts,
        how_to_check=HOW_TO_CHECK.format(recorded="delivery", name=name),
        orders=readme_words(orders),
        caution=RELEASE_PICTURES.text,
    )
