"""Brings what was decided to go out into a private folder, each document as a file of its own."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path, PurePosixPath
from typing import Any
from uuid import UUID

from django.utils.text import slugify
from PIL import Image

from cases.answers.chosen import Chosen
from cases.answers.combining import CannotCombine, pages_of
from cases.answers.models import Answer
from cases.answers.rules import order_of
from cases.answers.sheets import Sheet, SheetPart, write_sheet
from cases.decisions.enclosed_rules import ending_of
from cases.decisions.enclosing import PICTURES
from cases.decisions.models import Enclosure
from cases.decisions.rules import BY_HAND, ON_A_GROUND, ItemKind, Outcome, log_words
from cases.letters.models import Letter
from cases.letters.rules import LetterKind
from cases.models import Case
from cases.packets.bag import write_csv, write_json
from cases.packets.custody_record import custody_groups, custody_rows, custody_values
from cases.packets.material import Material, events_of, material_of
from cases.packets.outgoing import (
    CannotBuild,
    OutgoingPhotograph,
    write_or_say,
)
from cases.packets.printing import print_report
from cases.packets.rules import ReleasedAs
from cases.packets.signed_addendum import signed_addendum
from cases.packets.signed_report import signed_report
from cases.redaction.own_sources import ADDED
from cases.redaction.queries import codes_in
from cases.redaction.sources import source_in
from cases.review.models import AmendedPassage, Report, ReportDraft, SignedPdf
from cases.statements.models import Statement
from evidence import store
from evidence.custody.models import Seal, Transfer
from evidence.imaging.pictures import BROKEN, upright
from evidence.photographs.models import Photograph
from evidence.results.models import Result
from evidence.store.models import StoredFile
from me_office.audit.ids import uuid_in
from me_office.shell.templatetags.office import day

PDF = "application/pdf"
DOCUMENTS = "documents"
COVER_LETTER = "cover-letter.pdf"
FILES = "files"
# An attached picture as a page: letter paper at 250 dots an inch.
LONGEST_PX = 2750


@dataclass(frozen=True)
class Document:
    """One document of the combined PDF."""

    kind: str
    item: str
    case_id: UUID
    title: str
    path: Path
    pages: int
    demand: int | None = None
    sha256: str = ""
    # A file of the packet that holds the same as it is kept, with its signatures.
    file: str = ""


@dataclass(frozen=True)
class EnclosedFile:
    """A file that was attached to something named by hand, as it lies in the packet."""

    case_label: str
    path: str
    title: str
    size_bytes: int
    sha256: str


@dataclass
class Contents:
    """Everything that goes out: documents with pages, files, photographs by case."""

    documents: list[Document] = field(default_factory=list)
    files: list[tuple[str, str, str]] = field(default_factory=list)  # path, title, digest
    photographs: list[tuple[Case, str, list[OutgoingPhotograph]]] = field(default_factory=list)
    not_sent: list[Chosen] = field(default_factory=list)
    beside: list[Chosen] = field(default_factory=list)
    elsewhere: list[Chosen] = field(default_factory=list)
    enclosed: list[EnclosedFile] = field(default_factory=list)
    sizes: dict[str, int] = field(default_factory=dict)  # of the files, by their path
    # What is printed on bars of redacted documents: code, reason and citation, each once.
    codes: list[tuple[str, str, str]] = field(default_factory=list)

    @property
    def sent_photographs(self) -> list[OutgoingPhotograph]:
        """The photographs of all cases."""
        return [one for _, _, sent in self.photographs for one in sent]


@dataclass
class _Gathering:
    answer: Answer
    folder: Path  # what becomes the bag
    parts: Path  # files that go into the combined PDF alone
    chosen: Sequence[Chosen]
    contents: Contents
    materials: dict[UUID, Material] = field(default_factory=dict)
    several: bool = False

    def material(self, case_id: UUID) -> Material:
        """Return what a case's report and custody record say, read once."""
        if case_id not in self.materials:
            self.materials[case_id] = material_of(case_id)
        return self.materials[case_id]

    def part(self) -> Path:
        """Return a name for the next document."""
        return self.parts / f"{len(self.contents.documents):04d}.pdf"

    def base(self, case_id: UUID) -> str:
        """Return the folder of a case in the packet: its own only where there are several."""
        return f"case-{slugify(self.material(case_id).case.label)}/" if self.several else ""

    def named(self, case_id: UUID, title: str) -> str:
        """Return a title with its case, where there are several."""
        return f"{title}, case {self.material(case_id).case.label}" if self.several else title

    def withheld(self, case_id: UUID, *outcomes: Outcome) -> set[str]:
        """Return the keys of what does not go out, or not as it is."""
        wanted = outcomes or (Outcome.WITHHOLD, Outcome.REDACT)
        return {one.item for one in self.chosen if one.case_id == case_id and one.outcome in wanted}

    def add(self, one: Chosen, title: str, path: Path, *, sha256: str = "", file: str = "") -> None:
        """Add a document of the combined PDF; what is no whole PDF goes as a file alone."""
        pages = pages_of(path)
        self.contents.documents.append(
            Document(
                one.kind.value,
                one.item,
                one.case_id,
                self.named(one.case_id, title),
                path,
                pages,
                min(one.demands) if one.demands else None,
                sha256 or hashlib.sha256(path.read_bytes()).hexdigest(),
                file,
            )
        )

    def lend(self, stored: StoredFile, there: Path, what: str) -> None:
        """Lay a stored file into place, compared with its digest. Raises CannotBuild."""
        there.parent.mkdir(parents=True, exist_ok=True)
        try:
            size = store.lend(stored, there)
        except FileNotFoundError:
            size = None
        if size is None:
            raise CannotBuild(
                f"The stored file of {what} is missing or no longer has its digest. Nothing was "
                "packed. Tell an administrator."
            )
        if there.is_relative_to(self.folder):
            self.contents.sizes[there.relative_to(self.folder).as_posix()] = size

    def free(self, path: str) -> str:
        """Return a name that no file of the packet has yet: two records may hold the same file."""
        taken = {one[0] for one in self.contents.files}
        first, number = PurePosixPath(path), 2
        while path in taken:
            path = str(first.with_name(f"{first.stem}-{number}{first.suffix}"))
            number += 1
        return path

    def kept(self, one: Chosen, stored: StoredFile, title: str, name: str) -> None:
        """Add a stored document: as a file, and its pages where it is a PDF that opens."""
        path = self.free(f"{self.base(one.case_id)}{DOCUMENTS}/{name}")
        self.lend(stored, self.folder / path, title)
        self.contents.files.append((path, title, stored.sha256))
        if stored.media_type != PDF:
            self.contents.beside.append(replace(one, label=f"{title}: {path}"))
            return
        try:
            self.add(one, title, self.folder / path, sha256=stored.sha256, file=path)
        except CannotCombine as error:
            said = f"{title}: {path}, without page numbers: {error}."
            self.contents.beside.append(replace(one, label=said))


def _redacted(now: _Gathering, one: Chosen) -> None:
    """Add the redacted copy, whatever the kind: nothing else of the record goes out."""
    # Its label may hold what its copy hides: who speaks, what it shows.
    title, _ = log_words(one.kind.value, one.number)
    stored = _copy_of(one, title)
    there = now.part()
    now.lend(stored, there, title)
    now.add(one, f"{title}, redacted copy", there, sha256=stored.sha256)
    said = codes_in(one.case_id, stored)
    now.contents.codes = sorted({*now.contents.codes, *said})


def _copy_of(one: Chosen, title: str) -> StoredFile:
    found = StoredFile.objects.filter(sha256=one.copy_digest).first() if one.copy_digest else None
    if found is None:
        raise CannotBuild(f"There is no redacted copy of {title}. Make one, or decide anew.")
    return found


def gather(
    answer: Answer,
    chosen: Sequence[Chosen],
    *,
    folder: Path,
    parts: Path,
    beat: Callable[[int, int], None] = lambda done, total: None,
) -> Contents:
    """Lay everything that goes out into its place. Raises CannotBuild."""
    contents = Contents(not_sent=[one for one in chosen if not one.goes_out])
    several = len({one.case_id for one in chosen}) > 1
    now = _Gathering(answer, folder, parts, chosen, contents, several=several)
    going = [one for one in chosen if one.goes_out]
    order = sorted(
        (one for one in going if one.kind is not ItemKind.PHOTOGRAPH),
        key=lambda one: (min(one.demands or (0,)), order_of(one.kind), str(one.case_id)),
    )
    for one in order:
        if one.outcome is not Outcome.REDACT:
            _BRING[one.kind](now, one)
        elif one.kind in BY_HAND:
            # What is attached is the redacted copy; its label may tell what that hides.
            _enclosed(
                now, replace(one, label=f"{log_words(one.kind.value, one.number)[0]}, redacted")
            )
        else:
            _redacted(now, one)
    _cover_letter(now)
    _photographs(now, [one for one in going if one.kind is ItemKind.PHOTOGRAPH], beat)
    return contents


def _cover_letter(now: _Gathering) -> None:
    """Lay the cover letter beside the pages, where one was made before the answer was asked for."""
    letter = (
        Letter.objects.active()
        .filter(
            request=now.answer.request,
            kind=LetterKind.COVER.value,
            made_at__lte=now.answer.created_at,
        )
        .select_related("file")
        .order_by("-number")
        .first()
    )
    if letter is not None and letter.file is not None:
        now.lend(letter.file, now.folder / COVER_LETTER, "the cover letter")
        now.contents.files.append((COVER_LETTER, "Cover letter", letter.file.sha256))


def _report(now: _Gathering, one: Chosen) -> None:
    material = now.material(one.case_id)
    if material.is_signed:
        kept = material.signed_pdf or signed_report(one.case_id, place=now.parts)
        now.kept(one, kept.file, "Report of examination, as signed", "signed-report.pdf")
        return
    printed = print_report(material, with_photographs=False, place=now.parts)
    there = now.part()
    there.write_bytes(printed.pdf)
    now.add(one, "Report of examination, not signed", there)


def _addendum(now: _Gathering, one: Chosen) -> None:
    document = signed_addendum(UUID(one.item), place=now.parts)
    added = document.addendum
    if added is None:
        raise CannotBuild("An addendum has no document. Tell an administrator.")
    title = f"{added.kind.capitalize()} {added.number}"
    now.kept(one, document.file, title, f"{added.kind}-{added.number:02d}.pdf")


def _result(now: _Gathering, one: Chosen) -> None:
    result = Result.objects.prefetch_related("lines", "item_links__item").get(pk=one.item)
    title = f"Result {result.number}, {result.get_kind_display()}"
    items = [f"{link.item.number}, {link.item.title}" for link in result.item_links.all()]
    lines = list(result.lines.all())
    sheet = Sheet(
        title=title,
        facts=[
            ("Reported by", ", ".join(filter(None, (result.reported_by, result.organization)))),
            ("Their reference", result.reference),
            ("Status", result.get_status_display()),
            ("Reported", day(result.reported_on)),
            ("Received", day(result.received_on)),
            ("On items", "\n".join(items)),
        ],
        parts=[
            SheetPart("As reported", words=[result.statement]),
            SheetPart(
                "Values" if lines else "",
                columns=("Analyte", "Reported", "Material", "Reporting limit"),
                widths=(3, 2, 2, 2),
                rows=[(line.analyte, line.words, line.matrix, line.limit_words) for line in lines],
            ),
        ],
    )
    _sheet(now, one, sheet)


def _sheet(now: _Gathering, one: Chosen, sheet: Sheet) -> None:
    there = now.part()
    case = now.material(one.case_id).case
    write_sheet(sheet, there, about=f"Case {case.label}", at=now.answer.decided_at)
    now.add(one, sheet.title, there)


def _statement(now: _Gathering, one: Chosen) -> None:
    statement = Statement.objects.select_related("file").get(pk=one.item)
    name = statement.file_name or "statement"
    stem, _, extension = name.rpartition(".")
    safe = f"{slugify(stem or name)[:60] or 'statement'}-{statement.file.sha256[:8]}"
    ending = slugify(extension)[:5] if stem else ""
    now.kept(one, statement.file, str(statement), f"{safe}.{ending}" if ending else safe)


def _custody(now: _Gathering, one: Chosen) -> None:
    withheld = now.withheld(one.case_id, Outcome.WITHHOLD)
    material = now.material(one.case_id)
    custody = [
        each
        for each in material.custody
        if each.item.kind != "photograph" or str(each.item.photograph.pk) not in withheld
    ]
    base = now.folder / now.base(one.case_id)
    base.mkdir(parents=True, exist_ok=True)
    write_json(base / "custody.json", custody_values(custody))
    write_csv(base / "custody.csv", custody_rows(custody))
    groups = custody_groups(custody)
    parts = []
    for group in groups:
        parts.append(SheetPart(group["title"]))
        parts += [
            SheetPart(
                words=[f"{item['title']}. {item['words']}"],
                columns=("When", "From, to, by whom", "Place", "Purpose", "Seal"),
                widths=(3, 4, 3, 4, 3),
                rows=item["rows"],
            )
            for item in group["items"]
        ]
    _sheet(now, one, Sheet("Custody record", parts=parts))


def _history(now: _Gathering, one: Chosen) -> None:
    told = events_of(one.case_id, camera_notes=now.answer.camera_notes)
    kept_back = [
        each for each in now.chosen if each.case_id == one.case_id and each.outcome in ON_A_GROUND
    ]
    # What is of the whole case has the case's key, by which everything would be left out.
    keys = {each.item for each in kept_back if each.item != str(one.case_id)}
    tables = {table for each in kept_back for table in TOLD_IN.get(each.kind, ())}
    events = without(told, *_tell_tales(keys), tables=tables)
    base = now.folder / now.base(one.case_id)
    base.mkdir(parents=True, exist_ok=True)
    write_json(base / "history.json", events)
    rows = [
        (event["at"][:19].replace("T", " "), event["who"] or "the office’s program",
         event["act"].replace("_", " "), event["table"].partition("_")[2], event["reason"])
        for event in events
    ]  # fmt: skip
    part = SheetPart(
        columns=("When (UTC)", "Who", "Act", "Record", "Reason"), widths=(3, 3, 3, 3, 4), rows=rows
    )
    intro = ["Every change with its old and new values is in history.json of the packet."]
    if len(events) < len(told):
        intro.append("Changes of records that are kept back are left out.")
    _sheet(now, one, Sheet("History of the case file", intro=intro, parts=[part]))


def _tell_tales(withheld: set[str]) -> tuple[set[str], set[str]]:
    """Return keys of what is kept back, and the words and digests by which it would be told."""
    keys, words = set(withheld), set()
    uuids = [key for key in withheld if uuid_in(key)]
    for one in Photograph.objects.filter(pk__in=uuids).select_related("file").defer("exif"):
        keys |= {str(one.item_id), str(one.file_id)}
        words |= {one.file.sha256, one.shows.strip()}
    for result in Result.objects.filter(pk__in=uuids):
        words.add(result.statement.strip())
    return keys, {word for word in words if len(word) >= SHORTEST_TOLD}


# A shorter description would be found in words that are not about it.
SHORTEST_TOLD = 6
KEPT_BACK = "left out: it concerns a record that is kept back"


def without(
    events: Sequence[dict[str, Any]],
    keys: set[str],
    words: set[str],
    *,
    tables: Collection[str] = (),
) -> list[dict[str, Any]]:
    """Return a history, oldest first, in which what is kept back leaves no trace.

    Events of `tables` go, and all that belongs to their records.

    An event of such a record goes, and of each that names it as what it belongs to (a link, a
    value, a seal), with all that belongs to those. Where a value only contains it, the value goes.
    """
    gone, kept = set(keys), []
    for event in events:
        changes: Mapping[str, Any] = event["changes"]
        values = {name: _strings(value) for name, value in changes.items()}
        belongs = any(text in gone for texts in values.values() for text in texts)
        if event["table"] in tables:
            gone.add(event["record"])
            continue
        if event["record"] in gone or belongs:
            # The case itself names much: only what is written about the record goes.
            if event["record"] not in gone and event["table"] in WHOLE_FILE:
                changes = _cleared(changes, values, gone | words)
                kept.append({**event, "changes": changes})
                continue
            gone.add(event["record"])
            continue
        kept.append({**event, "changes": _cleared(changes, values, gone | words)})
    return [_with_words_out(event, words) for event in kept]


# Where the text of a kind that is kept back would be told, besides in its own record.
TOLD_IN: Mapping[ItemKind, frozenset[str]] = {
    ItemKind.REPORT: frozenset(
        one._meta.db_table for one in (Report, ReportDraft, SignedPdf, AmendedPassage)
    ),
    ItemKind.CUSTODY: frozenset(one._meta.db_table for one in (Transfer, Seal)),
}
# What names many records is cleared of those that are kept back, and stays.
WHOLE_FILE = frozenset({"cases_case", "review_report", "review_reportdraft", "packets_packet"})


def _strings(value: Any) -> list[str]:
    """Return every text in a value, however deep."""
    if isinstance(value, str):
        return [value]
    if isinstance(value, Mapping):
        return [text for one in value.values() for text in _strings(one)]
    if isinstance(value, list | tuple):
        return [text for one in value for text in _strings(one)]
    return []


def _cleared(
    changes: Mapping[str, Any], values: Mapping[str, Sequence[str]], told: set[str]
) -> dict[str, Any]:
    return {
        name: KEPT_BACK if any(word in text for text in values[name] for word in told) else value
        for name, value in changes.items()
    }


def _with_words_out(event: dict[str, Any], words: set[str]) -> dict[str, Any]:
    if any(word in event["reason"] for word in words):
        return {**event, "reason": KEPT_BACK}
    return event


def _document(now: _Gathering, one: Chosen) -> None:
    """Add a document that somebody added to the case file, as it is kept."""
    source = source_in(now.material(one.case_id).case, ADDED, UUID(one.item))
    if source.file is None:
        raise CannotBuild(f"{one.label} has no file. Decide about it anew.")
    name = f"{slugify(one.label)[:60] or 'document'}-{source.file.sha256[:8]}.pdf"
    now.kept(one, source.file, one.label, name)


def _ledger(now: _Gathering, one: Chosen) -> None:
    """Refuse what an answer does not hold yet, rather than promise it."""
    raise CannotBuild(
        "An answer does not hold the proof of the record. Decide otherwise about it, and give it "
        "out by itself."
    )


def _enclosed(now: _Gathering, one: Chosen) -> None:
    """Add what was attached to something named by hand, or say to whom it was handed."""
    rows = Enclosure.objects.active().filter(reach=UUID(one.item)).select_related("file")
    enclosure = rows.first()
    if enclosure is None:
        raise CannotBuild(
            f"{one.label} goes out, and no file is attached. Attach it, or say to whom it was "
            "handed."
        )
    file = enclosure.file
    if file is None:
        how = f", {enclosure.apart_how}" if enclosure.apart_how else ""
        label = f"{one.label}: {enclosure}{how}"
        now.contents.elsewhere.append(replace(one, label=label))
        return
    name = f"{slugify(one.label)[:60] or 'file'}-{file.sha256[:8]}.{ending_of(file.media_type)}"
    if file.media_type == PDF:
        now.kept(one, file, one.label, name)
        return
    path = now.free(f"{now.base(one.case_id)}{FILES}/{name}")
    if file.media_type in PICTURES:
        _picture(now, one, file)
        if not now.answer.camera_notes:
            # The page shows the picture; the file would tell where and with what it was taken.
            return
    now.lend(file, now.folder / path, one.label)
    now.contents.files.append((path, one.label, file.sha256))
    label = now.material(one.case_id).case.label
    now.contents.enclosed.append(EnclosedFile(label, path, one.label, file.size_bytes, file.sha256))


def _picture(now: _Gathering, one: Chosen, file: StoredFile) -> None:
    """Add a page that shows an attached picture, drawn anew: without what its file notes."""
    there = now.part().with_suffix(".jpg")
    try:
        with store.open_stored(file) as stored:
            picture = upright(stored).convert("RGB")
    except (Image.DecompressionBombError, MemoryError, *BROKEN) as error:
        raise CannotBuild(f"The picture of {one.label} can't be opened. Attach a PDF.") from error
    picture.thumbnail((LONGEST_PX, LONGEST_PX))
    picture.info = {}
    picture.save(there, "JPEG", quality=90)
    _sheet(now, one, Sheet(one.label, picture=there))
    there.unlink()


_BRING: dict[ItemKind, Callable[[_Gathering, Chosen], None]] = {
    ItemKind.REPORT: _report,
    ItemKind.ADDENDUM: _addendum,
    ItemKind.RESULT: _result,
    ItemKind.STATEMENT: _statement,
    ItemKind.CUSTODY: _custody,
    ItemKind.HISTORY: _history,
    ItemKind.DOCUMENT: _document,
    ItemKind.LEDGER: _ledger,
    ItemKind.RECORDING: _enclosed,
    ItemKind.OTHER: _enclosed,
}


def _photographs(
    now: _Gathering, going: Sequence[Chosen], beat: Callable[[int, int], None]
) -> None:
    done_before = 0
    for case_id in dict.fromkeys(one.case_id for one in going):
        by_key = {one.item: one for one in going if one.case_id == case_id}
        material = now.material(case_id)
        sent = [
            _form(now, each, by_key[str(each.photograph.pk)], material)
            for each in material.photographs
            if str(each.photograph.pk) in by_key
        ]
        if len(sent) != len(by_key):
            raise CannotBuild("A photograph that is to go out was withdrawn. Decide about it anew.")
        base = now.folder / now.base(case_id)
        base.mkdir(parents=True, exist_ok=True)
        written = write_or_say(
            base, sent, _counting(beat, done_before, len(going)),
            instead="Send the originals, or redact that photograph.",
        )  # fmt: skip
        done_before += len(sent)
        now.contents.photographs.append((material.case, now.base(case_id), written))


def _counting(beat: Callable[[int, int], None], before: int, total: int) -> Callable[[int], None]:
    return lambda done: beat(before + done, total)


def _form(now: _Gathering, each: Any, one: Chosen, material: Material) -> OutgoingPhotograph:
    """Say in which form a photograph goes out: as it was decided, never otherwise."""
    number = each.photograph.number
    if one.outcome is not Outcome.REDACT:
        form = ReleasedAs.ORIGINAL if now.answer.camera_notes else ReleasedAs.COPY
        return OutgoingPhotograph(each, form, None, "")
    redaction = material.redactions.get(each.photograph.pk)
    if redaction is None or (one.copy_digest and redaction.file.sha256 != one.copy_digest):
        raise CannotBuild(f"The redacted copy of photograph {number} has changed. Decide anew.")
    return OutgoingPhotograph(each, ReleasedAs.REDACTED, redaction, one.ground or redaction.why)
