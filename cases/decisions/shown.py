"""What a page shows of decisions: items in ranges, what is undecided, what goes out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import Any

from django.urls import reverse

from cases.access import Act, may
from cases.court.models import Demand
from cases.decisions.actions import Picked
from cases.decisions.models import Ground, ItemDecision
from cases.decisions.proposal_rules import Proposal
from cases.decisions.queries import Row, Standing
from cases.decisions.ready import items_as_decided
from cases.decisions.rules import BY_HAND, ItemKind, Mark, Outcome
from me_office.accounts.models import Staff
from me_office.shell.templatetags.office import bytes_words

_NUMBERS = ("", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
_SAID = (Mark.LIVING, Mark.NOT_DESCRIBED, Mark.NOT_SIGNED, Mark.PAPERS, Mark.OF_OTHERS,
         Mark.COPY_ASKED, Mark.MARKED)  # fmt: skip


def token_of(row: Row) -> str:
    """Return an item as a form sends it: what the person saw, and the decision that stood."""
    stands = str(row.decision.pk) if row.decision else ""
    return "|".join((row.item.kind.value, row.item.key, row.item.digest, stands))


def read_token(token: str) -> Picked | None:
    """Return what a form sent as an item; None for anything else."""
    parts = token.split("|")
    return Picked(*parts) if len(parts) == 4 and parts[0] and parts[1] else None


@dataclass(frozen=True)
class Range:
    """Items that are alike: in their series, in what is proposed and in what was decided."""

    rows: Sequence[Row]
    case_label: str = ""

    @property
    def first(self) -> Row:
        """The first of them, which stands for all."""
        return self.rows[0]

    @property
    def anchor(self) -> str:
        """Its place on the page, and its key in an address."""
        return f"{self.first.item.kind.value}-{self.first.item.key}".replace(" ", "-")

    @property
    def numbers(self) -> str:
        """How they are numbered: P 37 to 41; P 37; nothing where they have no number."""
        first, last = self.first.item.number, self.rows[-1].item.number
        return first if first == last else f"{first} to {last.rpartition(' ')[2]}"

    @property
    def title(self) -> str:
        """What they are: their description where all have one, else their series."""
        labels = {row.item.label for row in self.rows}
        if len(labels) == 1:
            return labels.pop()
        series = self.first.item.series or f"{len(self.rows)} items"
        return series[:1].upper() + series[1:]

    @property
    def labels(self) -> str:
        """What the first of them show, where they are several; nothing otherwise."""
        labels = list(dict.fromkeys(row.item.label for row in self.rows))
        more = "; …" if len(labels) > 3 else ""
        return "; ".join(labels[:3]) + more if len(labels) > 1 else ""

    @property
    def called(self) -> str:
        """What a control is called that decides about them."""
        return self.numbers or self.title

    @property
    def detail(self) -> str:
        """How many files or pages, how large, and what the record says of them."""
        item = self.first.item
        said = [self.case_label] if self.case_label else []
        if item.kind is ItemKind.PHOTOGRAPH:
            count = len(self.rows)
            size = bytes_words(sum(row.item.size_bytes for row in self.rows))
            said.append(f"{count} file{'' if count == 1 else 's'}, {size}")
            if count == 1:
                said.append(item.details)
            copies = sum(bool(row.item.copy_digest) for row in self.rows)
            if copies:
                said.append(f"a redacted copy stands for {copies} of {count}")
        else:
            said.append(item.details)
        said += [mark.value for mark in _SAID if mark in item.marks]
        return " · ".join(part for part in said if part)

    @property
    def proposal(self) -> Proposal:
        """What is proposed for each of them."""
        return self.first.proposal

    @property
    def decision(self) -> ItemDecision | None:
        """What was decided about each of them, in the same words."""
        return self.first.decision

    @property
    def is_changed(self) -> bool:
        """Tell whether they changed since they were decided about."""
        return self.first.is_changed

    @property
    def outcome(self) -> str:
        """What was decided and still stands; nothing otherwise."""
        return self.decision.outcome if self.decision and not self.is_changed else ""

    @property
    def tokens(self) -> str:
        """Its items as a form sends them."""
        return "\n".join(token_of(row) for row in self.rows)

    @property
    def lacks_copy(self) -> list[Row]:
        """Those that go out redacted and have no redacted copy."""
        return [row for row in self.rows if row.lacks_copy]

    @property
    def copy_words(self) -> str:
        """What the redacted copy hides, of a document that goes out redacted."""
        row = self.first
        if row.item.kind is ItemKind.PHOTOGRAPH or self.outcome != Outcome.REDACT:
            return ""
        return (row.item.told or {}).get(Mark.COPY_STANDS, "")

    @property
    def looks(self) -> list[tuple[str, str]]:
        """Where each of them is opened, by what it is called; the redacted copy where it goes."""
        return [one for row in self.rows for one in _looks(row, self.outcome == Outcome.REDACT)]

    @property
    def is_marked(self) -> bool:
        """Tell whether places are marked for redaction in one of them."""
        return any(row.item.marked for row in self.rows)

    @property
    def is_several(self) -> bool:
        """Tell whether it can be opened to single items."""
        return len(self.rows) > 1


# Where an item of a kind is opened, and whether by its own key.
_OPENED: dict[ItemKind, tuple[str, bool]] = {
    ItemKind.REPORT: ("packets:report-pdf", False),
    ItemKind.ADDENDUM: ("review:addenda", False),
    ItemKind.PHOTOGRAPH: ("evidence:photograph", True),
    ItemKind.RESULT: ("results:one", True),
    ItemKind.STATEMENT: ("statements:statement", True),
    ItemKind.DOCUMENT: ("redaction:documents", False),
}


def _looks(row: Row, redacted: bool) -> list[tuple[str, str]]:
    item, found = row.item, []
    if item.kind in _OPENED:
        name, by_key = _OPENED[item.kind]
        keys = [item.case_id, item.key] if by_key else [item.case_id]
        found.append((item.called, reverse(name, args=keys)))
    if redacted and item.copy_key:
        room = "exhibits:redaction" if item.kind is ItemKind.PHOTOGRAPH else "redaction:copy"
        words = f"redacted copy of {item.called}"
        found.append((words, reverse(room, args=[item.case_id, item.copy_key])))
    return found


def _alike(row: Row) -> tuple[Any, ...]:
    item, made = row.item, row.decision
    one = item.series if item.kind is ItemKind.PHOTOGRAPH else item.key
    decided = (made.outcome, made.ground_id, made.held_by, made.note) if made else None
    proposal = (row.proposal.words, row.proposal.rule)
    said = item.label if row.proposal.rule in {"living", "papers"} else ""
    return (item.case_id, item.kind.value, one, said, proposal, decided, row.is_changed, row.sent)


def ranges_of(rows: Sequence[Row], case_labels: dict[Any, str] | None = None) -> list[Range]:
    """Group items that follow each other and are alike; with several cases each names its own."""
    labels = case_labels if case_labels and len(case_labels) > 1 else {}
    return [
        Range(found, labels.get(found[0].item.case_id, ""))
        for found in (list(group) for _, group in groupby(rows, key=_alike))
    ]


@dataclass(frozen=True)
class GoesOut:
    """What goes out as it stands, counted over all demands, each item once."""

    documents: int = 0
    photographs: int = 0
    originals: int = 0
    redacted: int = 0
    waits: int = 0
    papers_wait: int = 0
    others: int = 0
    withheld: int = 0
    not_there: int = 0
    sent: int = 0
    undecided: int = 0

    @property
    def words(self) -> str:
        """Say it in a line."""
        if not (
            self.documents
            or self.photographs
            or self.others
            or self.withheld
            or self.not_there
            or self.sent
        ):
            return "nothing yet"
        said = []
        if self.documents:
            wait = f" ({self.papers_wait} wait{'s' if self.papers_wait == 1 else ''} for a copy)"
            said.append(
                f"{self.documents} document{_s(self.documents)}{wait if self.papers_wait else ''}"
            )
        if self.photographs:
            each = [f"{self.originals} original{_s(self.originals)}" if self.originals else "",
                    f"{self.redacted} redacted cop{'y' if self.redacted == 1 else 'ies'}"
                    if self.redacted else "",
                    f"{self.waits} wait{'s' if self.waits == 1 else ''} for a copy"
                    if self.waits else ""]  # fmt: skip
            said.append(
                f"{self.photographs} photograph{_s(self.photographs)} "
                f"({', '.join(one for one in each if one)})"
            )
        if self.others:
            said.append(f"{self.others} other item{_s(self.others)}")
        if self.withheld:
            said.append(f"{self.withheld} withheld, listed in the log")
        if self.not_there:
            said.append(f"{self.not_there} not held by the office")
        if self.sent:
            said.append(f"{self.sent} sent earlier and left out")
        return "; ".join(said)


def _s(count: int) -> str:
    return "" if count == 1 else "s"


def goes_out(standing: Standing) -> GoesOut:
    """Count what goes out as it is decided now."""
    ready = items_as_decided(standing)
    out = [one for one in ready if one.goes_out]
    pictures = [one for one in out if one.kind is ItemKind.PHOTOGRAPH]
    others = sum(one.kind in {ItemKind.RECORDING, ItemKind.OTHER} for one in out)
    waits = sum(one.outcome is Outcome.REDACT and not one.copy_digest for one in pictures)
    redacted = sum(one.outcome is Outcome.REDACT for one in pictures) - waits
    return GoesOut(
        documents=len(out) - len(pictures) - others,
        photographs=len(pictures),
        originals=len(pictures) - redacted - waits,
        redacted=redacted,
        waits=waits,
        papers_wait=sum(
            one.outcome is Outcome.REDACT and not one.copy_digest and one.kind not in BY_HAND
            for one in out
        )
        - waits,
        others=others,
        withheld=sum(one.outcome is Outcome.WITHHOLD for one in ready),
        not_there=sum(one.outcome in {Outcome.MISSING, Outcome.NOT_OURS} for one in ready),
        sent=sum(one.outcome is Outcome.SENT for one in ready),
        undecided=sum(not row.is_decided for row in standing.all_rows),
    )


def may_approve_now(actor: Staff, standing: Standing) -> bool:
    """Tell whether a person may approve what stands now: ready, and none of it decided by them."""
    return (
        not standing.is_approved
        and not standing.lacking
        and actor.pk not in standing.deciders
        and may(actor, Act.APPROVE_RELEASE, standing.asked.case)
    )


@dataclass(frozen=True)
class DemandPage:
    """The middle of a demand's page."""

    standing: Standing
    demand: Demand

    @cached_property
    def rows(self) -> Sequence[Row]:
        """Its items."""
        return self.standing.rows.get(self.demand.pk, ())

    @cached_property
    def ranges(self) -> list[Range]:
        """Its items, in ranges."""
        labels = {case.pk: case.label for case in self.standing.cases}
        return ranges_of(self.rows, labels)

    @property
    def undecided(self) -> list[Row]:
        """What waits for a decision, in order."""
        return [row for row in self.rows if not row.is_decided]

    @property
    def next_words(self) -> str:
        """What the button says that goes through them: Decide the next six."""
        count = len(self.undecided)
        if count == 1:
            return "Decide the last one"
        return f"Decide the next {_NUMBERS[count] if count < len(_NUMBERS) else count}"

    @property
    def sent(self) -> list[tuple[str, str]]:
        """What an earlier release sent of what is undecided: its words, and which items."""
        found: dict[str, list[Row]] = {}
        for row in self.rows:
            if row.sent and row.decision is None:
                found.setdefault(row.sent, []).append(row)
        return [
            (words, ", ".join(_runs([row.item.called for row in rows])))
            for words, rows in found.items()
        ]  # fmt: skip

    @property
    def reaches(self) -> list[Any]:
        """What was chosen that it reaches."""
        return [one for one in self.standing.reaches if one.demand_id == self.demand.pk]

    @property
    def not_there(self) -> list[Any]:
        """What was chosen of which the record holds nothing, and nobody named it by hand yet."""
        found = {row.item.kind.value for row in self.rows}
        named = {one.words.lower() for one in self.reaches if one.kind == ItemKind.OTHER}
        return [
            one
            for one in self.reaches
            if one.kind not in found and ItemKind(one.kind).words.lower() not in named
        ]

    @property
    def grounds(self) -> list[Ground]:
        """The office's list."""
        return list(self.standing.grounds.values())

    @property
    def looks(self) -> list[Any]:
        """What was asked about it."""
        return [one for one in self.standing.looks if one.demand_id == self.demand.pk]

    def range_from(self, anchor: str, *, single: bool = False) -> Range | None:
        """Return the range, or the single item, that an address names."""
        if single:
            return next((one for one in map(_alone, self.rows) if one.anchor == anchor), None)
        return next((one for one in self.ranges if one.anchor == anchor), None)


def _alone(row: Row) -> Range:
    return Range([row])


def _runs(called: Sequence[str]) -> list[str]:
    """Name items in runs: P 1 to 36, P 40."""
    runs: list[list[str]] = []
    last = None
    for one in called:
        head, _, tail = one.rpartition(" ")
        number = int(tail) if tail.isdecimal() else None
        if runs and last is not None and (head, number) == (last[0], last[1] + 1):
            runs[-1][1:] = [tail]
        else:
            runs.append([one])
        last = (head, number) if number is not None else None
    return [" to ".join(run) for run in runs]
