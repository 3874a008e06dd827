"""What differs between a built answer and what stands now. No database, no clock."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from cases.decisions.rules import GOES_OUT, Outcome

MOST_NAMED = 8


@dataclass(frozen=True)
class Held:
    """One item that an answer sends, as it was when the answer was built."""

    kind: str
    item: str
    case_id: UUID
    called: str = ""
    outcome: str = ""
    digest: str = ""
    copy_digest: str = ""

    @property
    def name(self) -> tuple[str, str]:
        """By what decisions know it."""
        return self.kind, self.item

    @property
    def as_row(self) -> list[str]:
        """Return it as it is kept with the answer."""
        return [self.kind, self.item, str(self.case_id), self.called, self.outcome, self.digest,
                self.copy_digest]  # fmt: skip


def held_in(rows: Iterable[Sequence[str]]) -> list[Held]:
    """Return the items of an answer; of an earlier one kind, key and case alone are kept."""
    return [Held(row[0], row[1], UUID(row[2]), *row[3:7]) for row in rows]


@dataclass(frozen=True)
class Stands:
    """How an item stands now: what is decided of it, and the digests of record and copy."""

    case_id: UUID
    called: str
    outcome: str = ""
    digest: str = ""
    copy_digest: str = ""
    is_changed: bool = False
    is_marked_anew: bool = False


@dataclass(frozen=True)
class Differs:
    """One thing that stands otherwise now; a firm one lets the answer leave in no way."""

    words: str
    firm: bool = False


@dataclass(frozen=True)
class Whole:
    """What stands of the request itself."""

    decided: str  # the digest that the answer was built on
    approved: str  # that of the approval that stands, or nothing
    is_withdrawn: bool = False
    # By case: what keeps answers of it back and is not decided for this request.
    stops: Sequence[tuple[UUID, str]] = ()
    # Those whose records the request asks for; the person may not know of `closed` others.
    cases: Collection[UUID] = ()
    closed: int = 0


def differences(
    held: Sequence[Held], now: Mapping[tuple[str, str], Stands], whole: Whole
) -> list[Differs]:
    """Return what stands otherwise than in the answer, what keeps it in the office first.

    Of a case that the person may not know of nothing is said.
    """
    cases = {one.case_id for one in held}
    found = [Differs("The request was withdrawn.", firm=True)] if whole.is_withdrawn else []
    found += [Differs(f"{words}.", firm=True) for case_id, words in whole.stops if case_id in cases]
    if cases - set(whole.cases) and not whole.closed:
        found.append(Differs("The request no longer asks for one of its cases.", firm=True))
    known = [one for one in held if one.case_id in whole.cases]
    found += _gathered([_of_item(one, now.get(one.name)) for one in known])
    names = {one.name for one in held}
    further = [one.called for name, one in now.items()
               if name not in names and one.outcome in GOES_OUT and not one.is_changed]  # fmt: skip
    if further:
        verb = "goes" if len(further) == 1 else "go"
        found.append(Differs(f"{_listed(further)} {verb} out now and {_is(further)} not in it."))
    if not whole.approved:
        found.append(Differs("What goes out is no longer approved."))
    elif whole.approved != whole.decided:
        found.append(Differs("It was decided and approved anew."))
    return sorted(found, key=lambda one: not one.firm)


# How it is said of one item, and of several.
_WITHHELD = ("is withheld now", "are withheld now")
_NOT_SENT = ("is not to be sent now", "are not to be sent now")
_GONE = ("is no longer among what is asked for: withdrawn, or left out",
         "are no longer among what is asked for: withdrawn, or left out")  # fmt: skip
_HIDES = ("goes out redacted now, and whole in it", "go out redacted now, and whole in it")
_COPY = ("has another redacted copy now, or none", "have other redacted copies now, or none")
_MARKED = ("is marked for redaction now, and whole in it",
           "are marked for redaction now, and whole in it")  # fmt: skip
_WHOLE = ("goes out whole now, and redacted in it", "go out whole now, and redacted in it")
_CHANGED = ("has changed since", "have changed since")
_FIRM = frozenset({_WITHHELD, _NOT_SENT, _GONE, _HIDES, _COPY, _MARKED})


def _of_item(held: Held, now: Stands | None) -> tuple[tuple[str, str], str] | None:
    """Return how an item differs and how it is called; None where it does not."""
    if now is None:
        return _GONE, held.called or held.kind
    said = _how(held, now)
    return (said, now.called) if said else None


def _how(held: Held, now: Stands) -> tuple[str, str] | None:
    if now.outcome == Outcome.WITHHOLD:
        return _WITHHELD
    if now.outcome in {Outcome.MISSING, Outcome.NOT_OURS}:
        return _NOT_SENT
    if held.outcome == Outcome.RELEASE and now.outcome == Outcome.REDACT:
        return _HIDES
    if held.outcome == Outcome.RELEASE and now.is_marked_anew:
        return _MARKED
    both = held.outcome == now.outcome == Outcome.REDACT
    if both and held.copy_digest and held.copy_digest != now.copy_digest:
        return _COPY
    if held.outcome == Outcome.REDACT and now.outcome == Outcome.RELEASE:
        return _WHOLE
    if now.is_changed or (held.digest and held.digest != now.digest):
        return _CHANGED
    return None


def _gathered(said: Iterable[tuple[tuple[str, str], str] | None]) -> list[Differs]:
    """Say it once of all items that differ alike."""
    alike: dict[tuple[str, str], list[str]] = {}
    for one in said:
        if one is not None:
            alike.setdefault(one[0], []).append(one[1])
    return [
        Differs(f"{_listed(called)} {words[0] if len(called) == 1 else words[1]}.", words in _FIRM)
        for words, called in alike.items()
    ]


def _is(called: Sequence[str]) -> str:
    return "is" if len(called) == 1 else "are"


def _listed(called: Sequence[str]) -> str:
    names = list(called[:MOST_NAMED])
    more = len(called) - len(names)
    if more:
        return f"{', '.join(names)} and {more} more"
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


BUILD_ANEW = "Build another answer."
OR_ALTHOUGH = (
    "Build another answer; or somebody who may approve, and decided none of it, delivers this one "
    "and says why."
)


def why_not_delivered(
    found: Sequence[Differs], *, although: str, may_although: bool
) -> str:  # fmt: skip
    """Return why an answer that differs may not leave, or nothing.

    What is firm keeps it in the office whatever is said; otherwise a second person may deliver it
    and says why in `although`.
    """
    if not found:
        return "Nothing has changed; leave this empty." if although else ""
    said = " ".join(one.words for one in found)
    head = "What goes out has changed since this answer was built."
    if any(one.firm for one in found):
        return f"{head} {said} {BUILD_ANEW}"
    if although and may_although:
        return ""
    return f"{head} {said} {OR_ALTHOUGH}"
