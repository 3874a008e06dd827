"""What is proposed for an item, and why, in words; a person decides. No database, no clock."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from cases.decisions.rules import Item, ItemKind, Mark, Outcome
from me_office.statements import COMMON_PRACTICE, Statement, statement

WHERE = "Decisions on what may go out"


def _why(key: str, text: str) -> Statement:
    return statement(f"decisions.{key}", text, where=WHERE, source=COMMON_PRACTICE)


CAUTION = _why(
    "caution",
    "Grounds are the office’s list, approved by its counsel. What must be released is governed by "
    "local law and the court; a proposal only repeats what the record says.",
)
NOTHING_AGAINST = _why(
    "nothing-against", "No word of its description is one that is looked for here, and that is all "
    "that is known. Look at it; whether the law lets it go is for you and counsel."
)  # fmt: skip


@dataclass(frozen=True)
class Rule:
    """A rule by which something is proposed: on which mark, what, and whether it can be off."""

    key: str
    mark: Mark
    outcome: Outcome | None
    title: str
    why: Statement
    may_be_off: bool = True


# In the order in which they are asked; the first that fits proposes. Without an outcome a person
# must look.
RULES = (
    Rule("sealed", Mark.SEALED, Outcome.WITHHOLD, "A case that is noted as sealed",
         _why("sealed", "The case is noted as sealed by a court. Ask counsel what the order lets "
              "out.")),
    Rule("restricted", Mark.RESTRICTED, Outcome.WITHHOLD, "A case that is restricted to its team",
         _why("restricted", "The case is restricted to its team. That is the office’s own rule and "
              "may be no ground in law: ask who restricted it.")),
    Rule("juvenile", Mark.JUVENILE, Outcome.WITHHOLD, "Records that concern a minor",
         _why("juvenile", "It concerns a person under 18. Many places protect such records; "
              "whether yours does, and from whom, is for counsel.")),
    Rule("living", Mark.LIVING, Outcome.WITHHOLD, "A description that speaks of a living person",
         _why("living", "The description says “{told}”, which may be the health of a living "
              "person. Look at it; such facts are often protected.")),
    Rule("not-described", Mark.NOT_DESCRIBED, None, "What nobody described",
         _why("not-described", "Nobody described it, so nothing is known of what it shows. A "
              "person must look."), may_be_off=False),
    Rule("not-signed", Mark.NOT_SIGNED, None, "A report that is not signed",
         _why("not-signed", "The report is not signed. A draft is mostly not released; ask its "
              "author and counsel."), may_be_off=False),
    Rule("papers", Mark.PAPERS, None, "A description that speaks of papers",
         _why("papers", "The description says “{told}”. Papers may name other people. A person "
              "must look.")),
    Rule("others", Mark.OF_OTHERS, None, "What somebody else said or wrote",
         _why("others", "It is somebody else’s statement, or came from somebody else. A person "
              "must look at whose it is to give.")),
    Rule("copy", Mark.COPY_STANDS, Outcome.REDACT, "A photograph of which a redacted copy stands",
         _why("copy", "A redacted copy stands ({told}).")),
    Rule("copy-asked", Mark.COPY_ASKED, Outcome.REDACT, "A redacted copy that is being made",
         _why("copy-asked", "A redacted copy was asked for ({told}) and is not made yet.")),
    Rule("marked", Mark.MARKED, Outcome.REDACT, "A document with places marked for redaction",
         _why("marked", "Somebody marked places in it for redaction. {told}")),
    Rule("face", Mark.FACE, Outcome.REDACT, "A description that speaks of the face",
         _why("face", "It may show the face ({told}). Some offices cover it unless the court asks "
              "for it.")),
)  # fmt: skip
RULES_BY_KEY: dict[str, Rule] = {rule.key: rule for rule in RULES}


@dataclass(frozen=True)
class RuleNow:
    """A rule as the office has it now: whether it is on, and the number of its ground."""

    key: str
    is_on: bool = True
    ground: int = 0


@dataclass(frozen=True)
class Proposal:
    """What is proposed, and why; without an outcome a person must look."""

    outcome: Outcome | None
    why: str
    rule: str = ""
    ground: int = 0

    @property
    def words(self) -> str:
        """Say it in a word or two: release, redact, withhold, a person must look."""
        return self.outcome.value if self.outcome else "a person must look"


def proposal_for(item: Item, office: Mapping[str, RuleNow]) -> Proposal:
    """Propose what becomes of an item, by the first of the office's rules that fits."""
    for rule in RULES:
        now = office.get(rule.key, RuleNow(rule.key))
        if rule.mark in item.marks and (now.is_on or not rule.may_be_off):
            told = (item.told or {}).get(rule.mark, "")
            ground = now.ground if rule.outcome is not None else 0
            return Proposal(rule.outcome, rule.why.say(told=told), rule.key, ground)
    if Mark.NOT_DESCRIBED in item.marks:
        return Proposal(None, RULES_BY_KEY["not-described"].why.text, "not-described")
    return Proposal(Outcome.RELEASE, NOTHING_AGAINST.text)


_PERSON = r"(?:driver|passenger|person|man|woman|child|boy|girl|worker|officer|pedestrian|cyclist)"
_LIVING = re.compile(
    rf"\b(?:survivor\w*|patients?|(?:injured|wounded|hurt|burned|rescued) (?:\w+ )?{_PERSON}|"
    r"(?:other|second) (?:driver|passenger)|in the ambulance|paramedics? treat\w*|hospitali[sz]ed|"
    r"living person|treated at the scene|bystanders?)\b",
    re.I,
)
_PAPERS = re.compile(
    r"\b(?:papers?|documents?|letters?|envelopes?|mail|bills?|receipts?|(?:identity|id|bank|credit|"
    r"insurance|business) cards?|licen[cs]es?|passports?|wallets?|check ?books?|prescriptions?|"
    r"(?:pill|medicine|medication) bottles?|(?:telephone|phone|computer|laptop|tablet) screens?|"
    r"(?:handwritten|farewell|suicide) notes?|notebooks?|diar(?:y|ies)|"
    r"address books?|calendars?)\b",
    re.I,
)
_FACE = re.compile(
    r"\b(?:face|facial|eyes?|eyelids?|eyebrows?|forehead|nose|nostrils?|cheeks?|mouth|lips?|chin|"
    r"portrait|head from the front|front of the head|full[ -]length|whole body|entire body)\b",
    re.I,
)
_NO_FACE = re.compile(r"\b(?:face of the (?:clock|watch|rock|wall)|clock face|watch face)\b", re.I)


def words_that(text: str) -> dict[Mark, str]:
    """Return the words of a description for which a mark stands, by mark."""
    found: dict[Mark, str] = {}
    plain = _NO_FACE.sub(" ", text)
    for mark, pattern in ((Mark.LIVING, _LIVING), (Mark.PAPERS, _PAPERS), (Mark.FACE, _FACE)):
        met = pattern.search(plain)
        if met:
            found[mark] = met.group(0)
    return found


# Which kinds of records the words of a demand name. A person confirms each.
_NAMED: tuple[tuple[ItemKind, re.Pattern[str]], ...] = tuple(
    (kind, re.compile(pattern, re.I))
    for kind, pattern in (
        (ItemKind.REPORT, r"\b(?:reports? of (?:the )?(?:examination|autopsy|investigation)|"
         r"(?:autopsy|post-?mortem|examination) reports?|(?:the|final|signed) reports?|"
         r"(?:entire|whole|complete) (?:case )?file|the (?:case )?file)\b"),
        (ItemKind.ADDENDUM, r"\b(?:addend(?:a|um)s?|amendments?|supplements?|"
         r"(?:entire|whole|complete) (?:case )?file|the (?:case )?file)\b"),
        (ItemKind.PHOTOGRAPH, r"\b(?:photo(?:graph)?s?|pictures?|images?|"
         r"(?:entire|whole|complete) (?:case )?file)\b"),
        (ItemKind.RESULT, r"\b(?:toxicolog\w*|laborator\w*|results?|lab reports?|"
         r"histolog\w* report\w*|"
         r"consultations?|(?:entire|whole|complete) (?:case )?file)\b"),
        (ItemKind.CUSTODY, r"\b(?:chains? of custody|custody)\b"),
        (ItemKind.STATEMENT, r"\b(?:statements?|transcripts?|interviews?)\b"),
        (ItemKind.HISTORY, r"\b(?:audit (?:trail|log)s?|edit history|history of (?:the )?"
         r"(?:edits?|changes?|file)|access logs?|metadata)\b"),
        (ItemKind.RECORDING, r"\b(?:recordings?|audio|video|dictations?|body-?worn)\b"),
        (ItemKind.DOCUMENT, r"\b(?:documents?|correspondence|e-?mails?|letters?|papers)\b"),
        (ItemKind.OTHER, r"\b(?:worksheets?|slides?|blocks?|bench notes?|calibration\w*|"
         r"handwritten notes?)\b"),
    )
)  # fmt: skip


def kinds_named(*texts: str) -> list[ItemKind]:
    """Return the kinds of records that a demand's words seem to name, in the order of the list."""
    said = " ".join(texts)
    return [kind for kind, pattern in _NAMED if pattern.search(said)]


def others_named(*texts: str) -> list[str]:
    """Return what a demand's words name that the record does not keep: worksheets, slides."""
    pattern = dict(_NAMED)[ItemKind.OTHER]
    found = [met.group(0).lower() for met in pattern.finditer(" ".join(texts))]
    return list(dict.fromkeys(found))


@dataclass(frozen=True)
class Earlier:
    """A release that went out before: when, to whom, in what."""

    release_id: str
    words: str
    items: frozenset[tuple[str, str]]


def sent_before(items: Iterable[Item], earlier: Collection[Earlier]) -> dict[tuple[str, str], str]:
    """Return, by item, with which earlier release it went out; the latest of several."""
    names = {item.name for item in items}
    sent: dict[tuple[str, str], str] = {}
    for one in earlier:
        for name in one.items & names:
            sent[name] = one.words
    return sent
