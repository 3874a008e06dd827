"""Negative statements that the pathologist may confirm, one by one. Nothing is filled in silently.

One fact a statement; they stand in `negative_statements.json`. Each names the sites it speaks of
(`findings.questions.sites`) and what would deny it there; `contradicting` compares both with what
is recorded. Wording: common practice. No database, no clock.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from types import MappingProxyType
from typing import Final

from findings.questions.probes import SKIN_NOT_SEEN
from findings.questions.sites import BREAK
from me_office.statements import COMMON_PRACTICE, statement_list
from me_office.statements import Statement as ListedStatement


class Denies(Enum):
    """What has to be recorded at the sites of a statement to speak against it."""

    INJURY = "an injury"
    BREAK = "a fracture or dislocation"
    HEMORRHAGE = "a hemorrhage"
    PETECHIAE = "petechiae"
    FLUID = "fluid or blood in a cavity"
    CLOT = "an embolus"
    ANYTHING = "any finding"
    TREATMENT = "a medical intervention"
    NEEDLE = "a needle mark that is not of treatment"
    JAUNDICE = "jaundice"
    SOOT = "soot"
    OBSTRUCTION = "something in the airway"
    CONSOLIDATION = "consolidation"
    PERFORATION = "a perforation"
    STONES = "stones"
    TABLETS = "tablets"
    MASS = "a mass"
    STENOSIS = "a stenosis or an occlusion"
    DEFORMITY = "a deformity"


def _words(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{pattern})\b", re.IGNORECASE)


# Words of a finding's term, or of what a layer showed. INJURY goes by class and has none.
DENYING: Final = MappingProxyType(
    {
        Denies.BREAK: BREAK,
        Denies.HEMORRHAGE: _words(
            r"\w*hemorrhag\w*|hematomas?|contusions?|ecchymos[ei]s|petechiae?|bleeding|bruis\w+"
            r"|blood(?:y|ied)?|hemo\w+"
        ),
        Denies.PETECHIAE: _words(r"petechiae?|petechial|Tardieu spots"),
        Denies.FLUID: _words(
            r"hemothorax|hemopericardium|hemoperitoneum|effusions?|ascites|tamponade|fluid|blood"
            r"|empyema|pneumothorax|chylothorax"
        ),
        Denies.CLOT: _words(r"\w*embol\w+|thrombus|thrombosis"),
        Denies.NEEDLE: _words(r"needle|injection|punctures?|venipuncture|needle tracks?|tracks?"),
        Denies.JAUNDICE: _words(r"jaundiced?|icter\w+|yellow sclerae?"),
        Denies.SOOT: _words(r"soot(?:y)?|carbonaceous"),
        Denies.OBSTRUCTION: _words(
            r"foreign (?:body|material)|bolus|obstruct\w+|aspirat\w+|vomitus|occlu\w+|plugs?"
        ),
        Denies.CONSOLIDATION: _words(r"consolidat\w+|\w*pneumonia"),
        Denies.PERFORATION: _words(
            r"perforat\w+|lacerat\w+|gunshot|stab|ruptur\w+|transect\w+|wounds?"
        ),
        Denies.STONES: _words(r"stones?|calcul(?:us|i)|\w*lithiasis|gallstones?"),
        Denies.TABLETS: _words(r"tablets?|pills?|capsules?"),
        Denies.MASS: _words(
            r"mass(?:es)?|tumou?rs?|neoplasms?|nodules?|cysts?|carcinoma|metasta\w+|abscess"
            r"|meningiomas?|gliomas?|glioblastomas?|adenomas?|lymphomas?|sarcomas?|melanomas?"
        ),
        Denies.STENOSIS: _words(
            r"stenos[ei]s|occlu\w+|atheroscleros[ei]s|thromb\w+|narrow\w+|dissection"
        ),
        Denies.DEFORMITY: _words(
            r"fractur\w*|dislocat\w*|amputat\w*|deform\w*|contractures?|avuls\w+|degloving"
        ),
    }
)


@statement_list
def _as_listed() -> Iterator[ListedStatement]:
    for one in STATEMENTS.values():
        yield ListedStatement(
            f"negative.{one.key}", one.words, "Examination, negative findings", COMMON_PRACTICE
        )


@dataclass(frozen=True)
class Statement:
    """One negative statement.

    `section` is the part of the examination it belongs to; without `sites` it speaks of the whole
    body. `needs` is a key of NEEDS: what has to be recorded before the statement can be made.
    `sex` is that of the body it speaks of, where it speaks of one only.
    """

    key: str
    section: str
    words: str
    sites: frozenset[str] = frozenset()
    denies: Denies = Denies.INJURY
    needs: str = ""
    sex: str = ""


# What a statement presupposes: the words that tell that it was done, and what to do first.
NEEDS: Final[Mapping[str, tuple[re.Pattern[str], str]]] = MappingProxyType(
    {
        "neck dissection": (
            re.compile(
                r"\bneck\b[^.]*\b(?:dissect|layer)|\b(?:dissect|layer)\w*[^.]*\bneck\b", re.I
            ),
            "Record the layered dissection of the neck first, under Deep dissection.",
        ),
        "posterior neck dissection": (
            re.compile(
                r"\b(?:posterior|back of the) neck\b[^.]*\b(?:dissect|layer|incis|reflect)"
                r"|\b(?:dissect|layer|incis|reflect)\w*[^.]*\b(?:posterior|back of the) neck\b",
                re.I,
            ),
            "Record the dissection of the posterior neck first, under Deep dissection.",
        ),
    }
)


# What is decided system by system, as a section; it may say what these sections offer.
BY_SYSTEM: Final = "systems"
OF_THE_INSIDE: Final = frozenset({"cavities", "internal", "deep_dissection"})


def _read(rows: str) -> tuple[Statement, ...]:
    text = (Path(__file__).parent / "negative_statements.json").read_text(encoding="utf-8")
    return tuple(
        Statement(
            key=row["key"],
            section=row["section"],
            words=row["words"],
            sites=frozenset(row["sites"]),
            denies=Denies[row["denies"]],
            needs=row.get("needs", ""),
            sex=row.get("sex", ""),
        )
        for row in json.loads(text)[rows]
    )


STATEMENTS: Final[Mapping[str, Statement]] = MappingProxyType(
    {one.key: one for one in _read("offered")}
)
# Statements of before, two facts in one: not offered, but still compared where they stand.
NO_LONGER_OFFERED: Final = _read("no_longer_offered")


def statements_of(section: str) -> list[Statement]:
    """The statements that one section of the examination offers."""
    return [one for one in STATEMENTS.values() if one.section == section]


def is_stated(statement: Statement, written: str) -> bool:
    """Tell whether a section says the statement already, as a sentence of its own."""
    sentence = rf"(?:^|[.!?;\n]\s*){re.escape(statement.words)}"
    return re.search(sentence, written.strip(), re.IGNORECASE) is not None


def stated_in(written: Mapping[str, str]) -> list[Statement]:
    """The statements that stand in the sections (section: its text), also those of before."""
    by_system = written.get(BY_SYSTEM, "")
    return [
        one
        for one in (*STATEMENTS.values(), *NO_LONGER_OFFERED)
        if is_stated(one, written.get(one.section, ""))
        or (one.section in OF_THE_INSIDE and is_stated(one, by_system))
    ]


def needed_first(statement: Statement, deep_dissection: str) -> str:
    """What has to be recorded before this statement; empty when nothing, or when it is."""
    if not statement.needs:
        return ""
    done, words = NEEDS[statement.needs]
    return "" if done.search(deep_dissection) else words


# Kinds of examination in which the body is not opened, and what only an opened body shows.
NOT_OPENED: Final = frozenset({"external", "view and release", "chart review"})
OF_AN_OPENED_BODY: Final = frozenset({"cavities", "internal", "deep_dissection", "systems"})
# What only a body shows that somebody looked at from outside.
OF_A_SEEN_BODY: Final = frozenset({"external", "treatment"})


def why_not_seen(section: str, kind: str) -> str:
    """Return why an examination of this kind cannot show what the section speaks of; else ""."""
    if kind in NOT_OPENED and section in OF_AN_OPENED_BODY:
        return "The body was not opened in this kind of examination."
    if kind in SKIN_NOT_SEEN and section in OF_A_SEEN_BODY:
        return "The body was not seen from outside in this kind of examination."
    return ""


# What bones and teeth show where soft tissue is gone (common practice).
SKELETAL: Final = "skeletal remains"
OF_BONES_AND_TEETH: Final = frozenset(
    {
        "external-nasal-bones", "external-teeth", "treatment-none",
        "internal-skull", "internal-skull-base", "internal-facial-bones", "internal-cervical-spine",
        "internal-hyoid", "internal-ribs", "internal-sternum", "internal-spine", "internal-pelvis",
    }
)  # fmt: skip


def why_not_shown(statement: Statement, kind: str) -> str:
    """Return why an examination of this kind cannot show what is stated; else ""."""
    if kind == SKELETAL and statement.key not in OF_BONES_AND_TEETH:
        return "Skeletal remains do not show this; write it in words where soft tissue is left."
    return why_not_seen(statement.section, kind)


_DRAWN_SEX: Final = MappingProxyType({"adult_female": "female", "adult_male": "male"})


def why_of_another_sex(statement: Statement, sex: str, chart_body: str) -> str:
    """Return why a statement speaks of another body than the decedent's; empty if it may not.

    `sex` is what is recorded of the decedent, `chart_body` the drawing that was chosen. Where the
    sex is not recorded as female or male, or the drawing says otherwise, nothing is left out.
    """
    if not statement.sex or sex not in ("female", "male") or statement.sex == sex:
        return ""
    if _DRAWN_SEX.get(chart_body, sex) != sex:
        return ""
    return f"This is said of a {statement.sex} body; the decedent’s sex is recorded as {sex}."


def is_offered(statement: Statement, kind: str, sex: str, chart_body: str) -> bool:
    """Tell whether a statement may be made of this body in an examination of this kind."""
    return not (why_not_shown(statement, kind) or why_of_another_sex(statement, sex, chart_body))


def added(statement: Statement, written: str) -> str:
    """The section with the statement at its end."""
    return f"{written.rstrip()} {statement.words}".strip()
