"""What a certifier may want to look at again. Nothing here stops a statement."""

from __future__ import annotations

from collections.abc import Mapping

from cases.certification import causes
from cases.certification.items import PREGNANCY, has_injury, injury_items_left
from cases.certification.rules import Manner, lines_of, lowest_cause
from cases.certification.sequence import asked_of_lines
from me_office.entries import Entry
from me_office.statements import COMMON_PRACTICE, FROM_MEMORY, Statement, statement

WHERE = "Cause and manner"
_HANDBOOKS = "NCHS handbooks on completing the cause of death, from memory"

MECHANISM = statement(
    "certificate.mechanism",
    "“{cause}” names a mechanism or a condition that says nothing of what led to it. The injury or "
    "disease that began the chain belongs on the lowest line.",
    where=WHERE,
    source=_HANDBOOKS,
)
INJURY_LEFT = statement(
    "certificate.injury-items",
    "Items 38 to 44 of the certificate are asked when an injury caused or contributed to the "
    "death. Not stated yet: {items}.",
    where=WHERE,
    source="US Standard Certificate of Death, 2003 revision; when they are asked: " + _HANDBOOKS,
)
NATURAL_INJURY = statement(
    "certificate.natural-injury",
    "Part I names an injury (“{cause}”) and the manner is natural. A death to which an injury led "
    "is usually not certified as natural.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
NATURAL_PART_II = statement(
    "certificate.natural-part-two",
    "Part II names an injury and the manner is natural. Whether an injury that contributed makes "
    "another manner is for the certifier to decide.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
EXCITED_DELIRIUM = statement(
    "certificate.excited-delirium",
    "“Excited delirium” is no longer supported as a cause of death: the National Association of "
    "Medical Examiners and the American College of Emergency Physicians withdrew their support "
    "in 2023. Name the underlying cause.",
    where=WHERE,
    source="American College of Emergency Physicians, page on excited delirium (2024), which names "
    "both withdrawals",
)
SUDDEN_INFANT = statement(
    "certificate.sudden-infant",
    "A sudden infant death is certified as natural only where the investigation gives ground for "
    "it. Many offices write “sudden unexplained infant death” with a manner that could not be "
    "determined.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
INFANT_GROUND = statement(
    "certificate.infant-ground",
    "The decedent is an infant and the manner is natural: say under “What the opinion rests on” "
    "on which findings that rests.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
NO_DRUG = statement(
    "certificate.no-drug",
    "“{cause}” names no drug. Each drug that caused the death is listed by its generic name.",
    where=WHERE,
    source="Davis GG et al., Am J Forensic Med Pathol 2020;41:152-159",
)
ABBREVIATIONS = statement(
    "certificate.abbreviations",
    "Written out, {words} can be read in one way only; a certificate takes no abbreviations.",
    where=WHERE,
    source=_HANDBOOKS,
)
PENDING_NO_CAUSE = statement(
    "certificate.pending-no-cause",
    "No cause is stated. While the manner is pending investigation, line a usually says “Pending” "
    "with what is still to come.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
PENDING = statement(
    "certificate.pending",
    "A manner that is pending investigation is replaced later by a supplemental or amended "
    "certificate; local law sets how, and within what time.",
    where=WHERE,
    source=_HANDBOOKS,
)
PENDING_CAUSE = statement(
    "certificate.pending-cause",
    "“{cause}” says that the cause is still to come, and the manner is stated as settled. While "
    "both are open, choose “pending investigation” as the manner: the case then stays in the list "
    "of pending cases. Where only the cause is open, it may stay.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
PENDING_ENDED = statement(
    "certificate.pending-ended",
    "“{cause}” reads as the end of an investigation, and the manner is pending. While something is "
    "still to come, line a usually says “Pending” with what that is.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
NO_CAUSE = statement(
    "certificate.no-cause",
    "“{cause}” states no cause, and the manner is stated as settled. If something is still to "
    "come, choose “pending investigation” as the manner; if not, say under “What the opinion rests "
    "on” why the manner is known and the cause is not.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
PENDING_AMENDED = statement(
    "certificate.pending-amended",
    "“{cause}” says that the cause is still to come. An amendment of the manner leaves it so "
    "unless it is amended too.",
    where="Amend cause and manner",
    source=COMMON_PRACTICE,
)
CHAIN_HELP = statement(
    "certificate.chain-help",
    "Line a is the immediate cause, often a complication; the lowest filled line is the injury or "
    "disease that began it. For example: a, pulmonary thromboembolism, due to b, deep vein "
    "thrombosis, due to c, fracture of the left hip. “Probable” is allowed where the cause is "
    "more likely than not.",
    where=WHERE,
    source=_HANDBOOKS,
)
CERTIFIER_DECIDES = statement(
    "certificate.certifier-decides",
    "The software keeps the words; a licensed pathologist or the official whom the law names "
    "decides them, under local law.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
FILING = statement(
    "certificate.filing",
    "When a certificate is filed, and when one that is pending is completed, is set by local law.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
OFFICE_FILING = statement(
    "certificate.office-filing",
    "The office’s rule: {rule}.",
    where=WHERE,
    source="the office's own words (OFFICE_CERTIFICATE_RULE)",
)
NOT_A_CERTIFICATE = statement(
    "certificate.worksheet",
    "This is a worksheet of this office, not a death certificate. Items are numbered as on the US "
    "Standard Certificate of Death, 2003 revision; the form of the state goes before it.",
    where="Certificate worksheet",
    source="US Standard Certificate of Death, 2003 revision; that states change it: "
    + COMMON_PRACTICE,
)
FOLLOW_UP_HELP = statement(
    "certificate.follow-up",
    "Say for each result or report when somebody asks again. A date of follow-up is the office’s "
    "own; within what time a pending certificate is completed, local law sets.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
REGISTRAR_HELP = statement(
    "certificate.stated-to-registrar",
    "The current items are kept as what the registrar was told. A later change leaves them as they "
    "are: it is stated as an amendment, with a reason.",
    where=WHERE,
    source=COMMON_PRACTICE,
)
PREGNANCY_AGES = statement(
    "certificate.pregnancy-ages",
    "Item 36, asked when the decedent is female and 5 to 75 years old.",
    where=WHERE,
    source="US Standard Certificate of Death, 2003 revision; the ages: " + FROM_MEMORY,
)
PREGNANCY_SEX = statement(
    "certificate.pregnancy-and-sex",
    "Item 36 is filled in (“{said}”), and the decedent is recorded as male. Check the recorded sex "
    "and the item.",
    where=WHERE,
    source="US Standard Certificate of Death, 2003 revision, item 36",
)

NO_AUTOPSY_SEEN = statement(
    "certificate.autopsy-and-kind",
    "Item 33 says that an autopsy was performed, and the examination is recorded as {kind}. Check "
    "the item and the kind of examination.",
    where=WHERE,
    source="US Standard Certificate of Death, 2003 revision, item 33; which examination is an "
    "autopsy: " + COMMON_PRACTICE,
)
AUTOPSY_SEEN = statement(
    "certificate.no-autopsy-and-kind",
    "Item 33 says that no autopsy was performed, and the examination is recorded as {kind}. Check "
    "the item and the kind of examination.",
    where=WHERE,
    source="US Standard Certificate of Death, 2003 revision, item 33; that a partial autopsy is "
    "one: " + _HANDBOOKS,
)
# Kinds of examination with their words. Of records that are read, and of skeletal remains, either
# answer may be right: another may have made the autopsy, and there may have been nothing to open.
_NO_AUTOPSY = {
    "external": "external examination",
    "view and release": "inspection of the body and release",
    "imaging only": "imaging without dissection",
}
_AUTOPSY = {
    "limited": "limited autopsy",
    "full autopsy": "full autopsy",
    "second autopsy": "second autopsy",
}


def cautions_on(
    entry: Entry,
    *,
    age_years: float | None = None,
    sex: str = "",
    kind: str = "",
    beside: bool = False,
) -> list[str]:
    """Return what a certifier may want to look at again, the cause first, then manner and items.

    `sex` is the decedent's as recorded, which may have been changed after the items were stated;
    `kind` is that of the examination, empty while there is none.
    `beside` leaves out what `guidance_on` says where the line itself is shown.
    """
    items = [*_on_items(entry, sex), *_on_autopsy(entry, kind)]
    rest = [*_on_manner(entry, age_years), *items]
    if beside:
        return rest
    sequence = [words for asked in asked_of_lines(entry).values() for words in asked]
    return [*_on_cause(entry), *cautions_beside(entry).values(), *sequence, *rest]


def guidance_on(entry: Entry) -> dict[str, list[str]]:
    """Return, by the field, what is asked of part I and part II while they are typed."""
    asked: dict[str, list[str]] = {}
    filled = [
        (name, line)
        for name in (*(f"cause_{letter}" for letter in "abcd"), "contributing")
        if (line := str(entry.get(name) or "").strip())
    ]
    chain = [one for one in filled if one[0] != "contributing"]
    if chain and causes.is_mechanism_only(chain[-1][1]):
        asked[chain[-1][0]] = [MECHANISM.say(cause=chain[-1][1])]
    nameless = [one for one in chain if causes.names_no_drug(one[1])]
    if nameless and not causes.names_a_drug(line for _, line in filled):
        asked.setdefault(nameless[0][0], []).append(NO_DRUG.say(cause=nameless[0][1]))
    for name, line in filled:
        if causes.names_excited_delirium(line):
            asked.setdefault(name, []).append(EXCITED_DELIRIUM.say())
        if short := causes.abbreviations_in(line):
            asked.setdefault(name, []).append(ABBREVIATIONS.say(words=", ".join(short)))
    for name, words in cautions_beside(entry).items():
        asked.setdefault(name, []).append(words)
    for name, said in asked_of_lines(entry).items():
        asked.setdefault(name, []).extend(said)
    return asked


def cautions_beside(entry: Entry) -> dict[str, str]:
    """Return, by the field, what a line says that another field is made for: that it is pending."""
    manner = entry.get("manner", "")
    filled = {
        name: line
        for name in (*(f"cause_{letter}" for letter in "abcd"), "contributing")
        if (line := str(entry.get(name) or "").strip())
    }
    causes_only = {name: line for name, line in filled.items() if name != "contributing"}
    if manner and manner != Manner.PENDING:
        said = {
            name: PENDING_CAUSE.say(cause=line)
            for name, line in filled.items()
            if causes.says_pending(line)
        }
        if said or manner == Manner.UNDETERMINED:
            return said
        if str(entry.get("basis") or "").strip():
            return {}
        return _without_cause(causes_only, NO_CAUSE)
    return _without_cause(causes_only, PENDING_ENDED) if manner else {}


def _without_cause(filled: Mapping[str, str], caution: Statement) -> dict[str, str]:
    # Below a line that names a disease, "unknown" is right: a process of unknown etiology.
    if not filled or not all(map(causes.says_no_cause, filled.values())):
        return {}
    name, line = next(iter(filled.items()))
    return {name: caution.say(cause=line)}


def _on_cause(entry: Entry) -> list[str]:
    lines, said = lines_of(entry), []
    part_two = str(entry.get("contributing") or "")
    underlying = lowest_cause(entry)
    if underlying and causes.is_mechanism_only(underlying):
        said.append(MECHANISM.say(cause=underlying))
    if any(causes.names_excited_delirium(line) for line in [*lines, part_two]):
        said.append(EXCITED_DELIRIUM.say())
    if not causes.names_a_drug([*lines, part_two]):
        nameless = next((line for line in lines if causes.names_no_drug(line)), "")
        if nameless:
            said.append(NO_DRUG.say(cause=nameless))
    short = causes.abbreviations_in("; ".join([*lines, part_two]))
    if short:
        said.append(ABBREVIATIONS.say(words=", ".join(short)))
    return said


def _on_manner(entry: Entry, age_years: float | None) -> list[str]:
    manner, lines = entry.get("manner", ""), lines_of(entry)
    if manner == Manner.PENDING:
        return [PENDING.say()] if lines else [PENDING_NO_CAUSE.say(), PENDING.say()]
    if manner != Manner.NATURAL:
        return []
    said = []
    injury = next((line for line in reversed(lines) if causes.names_injury(line)), "")
    if injury:
        said.append(NATURAL_INJURY.say(cause=injury))
    elif has_injury(entry):
        said.append(NATURAL_PART_II.say())
    if any(map(causes.is_sudden_infant_death, lines)):
        said.append(SUDDEN_INFANT.say())
    elif age_years is not None and age_years < 1 and not str(entry.get("basis") or "").strip():
        said.append(INFANT_GROUND.say())
    return said


def _on_items(entry: Entry, sex: str) -> list[str]:
    left, pregnancy = injury_items_left(entry), entry.get("pregnancy")
    said = [INJURY_LEFT.say(items=", ".join(left))] if left else []
    if pregnancy and sex == "male":
        said.append(PREGNANCY_SEX.say(said=dict(PREGNANCY).get(pregnancy, pregnancy)))
    return said


def _on_autopsy(entry: Entry, kind: str) -> list[str]:
    stated = entry.get("autopsy")
    if stated == "yes" and kind in _NO_AUTOPSY:
        return [NO_AUTOPSY_SEEN.say(kind=_NO_AUTOPSY[kind])]
    if stated == "no" and kind in _AUTOPSY:
        return [AUTOPSY_SEEN.say(kind=_AUTOPSY[kind])]
    return []


def filing_words(rule: str) -> str:
    """Say that local law sets the time for filing, with the office's own rule where it has one."""
    said = FILING.say()
    return f"{said} {OFFICE_FILING.say(rule=rule.rstrip('.'))}" if rule else said
