"""The questions that are usually asked on an exhibit, each with the answer that the record gives.

Pure: what is asked follows from what the exhibit answers (`cases.witness.answers`), and so does
every answer. Where the record is silent the answer says so; nothing is filled in.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from cases.witness.answers import (
    CountAnswer,
    ExhibitAnswers,
    FindingAnswer,
    MeasuredAnswer,
    PassageAnswer,
    PictureAnswer,
    Ref,
    Said,
    TakenAnswer,
)
from findings.rules import FindingClass
from findings.words.counting import Cause

# What may be taken for an injury, or for none: there the same is asked as of an injury.
_QUESTIONED = {FindingClass.POSTMORTEM_CHANGE, FindingClass.ARTIFACT}
_CLASS_WORDS = {
    FindingClass.INJURY: "an injury",
    FindingClass.POSTMORTEM_CHANGE: "a change after death",
    FindingClass.ARTIFACT: "an artifact",
    FindingClass.NATURAL_DISEASE: "natural disease",
    FindingClass.MEDICAL_INTERVENTION: "a trace of medical care",
    FindingClass.IDENTIFYING_FEATURE: "an identifying feature",
    FindingClass.OTHER: "another finding",
}
_DISCOLORED = re.compile(
    r"\b(contusion|bruise|ecchymosis|hematoma|lividity|discolor|stain|petechia)", re.I
)
_BEFORE_DEATH = re.compile(r"\b(?<!or )before death\b(?! or after)", re.I)


@dataclass(frozen=True)
class Question:
    """One question with its answer and where in the record that is read.

    `key` stays the same as long as the same is asked of the same thing.
    """

    key: str
    asks: str
    answer: tuple[Said, ...]
    sources: tuple[Ref, ...] = ()

    @property
    def is_silent(self) -> bool:
        """Tell whether all that can be answered is that the record does not say."""
        return not any(line.recorded for line in self.answer)

    @property
    def spoken(self) -> str:
        """The answer as it is said aloud."""
        return " ".join(f"{line.words} {line.ground}".strip() for line in self.answer if line.words)


def questions_on(answers: ExhibitAnswers) -> tuple[Question, ...]:
    """Return what is asked on an exhibit, in the order in which it is usually asked."""
    asked = [
        *_on_the_picture(answers),
        *(
            question
            for one in answers.findings
            for question in _on_finding(one, _called(one, answers))
        ),
        *_on_terms(answers),
        *_on_all_findings(answers),
        *(question for one in answers.pictures for question in _on_file(one, answers)),
        *_on_the_report(answers),
        *_on_disagreements(answers),
    ]
    return tuple(
        replace(one, answer=tuple(map(_as_sentences, one.answer))) for one in asked if one.answer
    )


def _as_sentences(line: Said) -> Said:
    words, ground = (_sentence(_capital(said)) for said in (line.words, line.ground))
    return replace(line, words=words, ground=ground)


def _on_the_picture(answers: ExhibitAnswers) -> Iterator[Question]:
    shown = [_shown(one, answers) for one in answers.pictures]
    pages = tuple(_page_of(one) for one in answers.pictures)
    yield Question("what", "What is this a picture of?", tuple(shown), pages)
    if answers.body_part.recorded or answers.findings:
        faces = [one.faces for one in answers.pictures if one.faces.recorded]
        yield Question(
            "part", "Which part of the body is this?", (answers.body_part, *_once(faces)), pages
        )
        yield Question("injury", "Is there any injury here?", _injuries(answers), pages)


def _shown(picture: PictureAnswer, answers: ExhibitAnswers) -> Said:
    shows = picture.shows or answers.caption
    if not shows:
        return Said("The photograph log does not say what it shows.", recorded=False)
    how = ", ".join(part for part in (picture.distance, picture.scale) if part)
    return Said(shows, f"{_photograph(picture)}: {how}" if how else "")


def _injuries(answers: ExhibitAnswers) -> tuple[Said, ...]:
    injuries = [one for one in answers.findings if one.is_injury]
    others = [one for one in answers.findings if not one.is_injury]
    if not answers.findings:
        return (
            Said(
                "No finding is linked to this picture; the record does not say whether it shows "
                "an injury.",
                recorded=False,
            ),
        )
    lines = [Said(f"Finding {one.number}: {one.term}") for one in injuries]
    if not injuries:
        lines.append(Said("No injury is recorded in this picture."))
    lines += [
        Said(f"Finding {one.number}: {one.term}, recorded as {_class_words(one)}") for one in others
    ]
    return tuple(lines)


def _called(finding: FindingAnswer, answers: ExhibitAnswers) -> str:
    """Return how a finding is spoken of: where it is the only one it needs no number."""
    return "it" if len(answers.findings) == 1 else f"finding {finding.number}"


def _on_finding(finding: FindingAnswer, called: str) -> Iterator[Question]:
    page = (Ref(f"Finding {finding.number}", finding.url),)
    key = finding.finding_id
    yield Question(f"is:{key}", _what_is(finding, called), tuple(_identity(finding)), page)
    if finding.is_injury or finding.klass in _QUESTIONED or finding.meanings:
        yield Question(
            f"else:{key}", f"Could {called} be something else?", _meanings(finding), page
        )
    measured = _measured(finding)
    if finding.is_injury or finding.size.recorded or measured:
        size = Said(finding.size.sentence, recorded=finding.size.recorded)
        yield Question(f"size:{key}", f"How large is {called}?", (size,), page)
    if finding.size.recorded or measured:
        yield Question(
            f"measured:{key}",
            f"How was {called} measured?",
            tuple(_measuring(finding)),
            (*page, *(Ref(f"Measurement {m.number}", m.url) for m in measured)),
        )
    yield from _on_time(finding, called, page)
    if finding.is_injury or finding.layers:
        yield Question(
            f"beneath:{key}", f"Did you look underneath {called}?", _beneath(finding), page
        )
    if finding.path:
        way = "Which way did it go" + ("?" if called == "it" else f" from {called}?")
        yield Question(f"path:{key}", way, (Said(finding.path),), page)


def _what_is(finding: FindingAnswer, called: str) -> str:
    marked = "" if called == "it" else f", marked {finding.number}"
    thing = "that discoloration" if _DISCOLORED.search(finding.term) else "that"
    return f"What is {thing}{marked}?"


def _identity(finding: FindingAnswer) -> Iterator[Said]:
    yield Said(finding.term, finding.wound)
    yield finding.klass_said
    if finding.place.recorded:
        yield finding.place
    if finding.seen_as.recorded:
        yield finding.seen_as


def _meanings(finding: FindingAnswer) -> tuple[Said, ...]:
    if not finding.meanings:
        return (Said("The record says nothing else that it could be.", recorded=False),)
    return tuple(Said(one.words) for one in finding.meanings)


def _measured(finding: FindingAnswer) -> tuple[MeasuredAnswer, ...]:
    return (*finding.size.on_photographs, *finding.size.unnamed)


def _measuring(finding: FindingAnswer) -> Iterator[Said]:
    yield finding.size.how
    for one in _measured(finding):
        leaves_out = f"It leaves out: {'; '.join(one.leaves_out)}" if one.leaves_out else ""
        unnamed = ", which names no finding" if one in finding.size.unnamed else ""
        which = f"Measurement {one.number}, on photograph {one.photograph_number}{unnamed}"
        yield Said(f"{which}: {one.words}", leaves_out)


def _on_time(finding: FindingAnswer, called: str, page: tuple[Ref, ...]) -> Iterator[Question]:
    key = f"when:{finding.finding_id}"
    if finding.is_injury:
        asks = f"Is {called} from before or after death, and how do you know?"
        if finding.when.recorded and _BEFORE_DEATH.search(finding.when.words):
            asks = f"How do you know that {called} is not from after death?"
        caution = (Said(finding.color_caution),) if finding.color_caution else ()
        yield Question(key, asks, (finding.when, *caution), page)
    elif finding.klass in _QUESTIONED:
        looked = [Said(one.words) for one in finding.layers if one.examined]
        lines = [*_once([finding.klass_said, finding.when]), *looked]
        yield Question(key, f"How do you know that {called} is not an injury?", tuple(lines), page)


def _beneath(finding: FindingAnswer) -> tuple[Said, ...]:
    if not finding.layers:
        return (Said("No layer beneath it is recorded.", recorded=False),)
    said = [Said(one.words) for one in finding.layers if one.recorded]
    if unsaid := [one.layer for one in finding.layers if not one.recorded]:
        words = f"Not recorded whether it was examined: {', '.join(unsaid)}"
        said.append(Said(words, recorded=False))
    return tuple(said)


def _on_terms(answers: ExhibitAnswers) -> Iterator[Question]:
    for term in dict.fromkeys(one.term for one in answers.findings if one.plain):
        first, *others = (one for one in answers.findings if one.term == term)
        pages = tuple(Ref(f"Finding {one.number}", one.url) for one in (first, *others))
        asks = f"What does the term “{_small(term)}” mean?"
        yield Question(f"word:{first.finding_id}", asks, (Said(first.plain),), pages)


def _on_all_findings(answers: ExhibitAnswers) -> Iterator[Question]:
    injuries = [one for one in answers.findings if one.is_injury]
    counts = answers.counts
    lines = tuple(
        _counted(one)
        for one in (counts.in_exhibit, *counts.in_regions, counts.in_case)
        if one.words
    )
    for cause, key, asks in (
        (Cause.BLUNT, "blows", "How many blows are there?"),
        (Cause.FIREARM, "shots", "How many gunshot wounds are there?"),
        (Cause.SHARP, "cuts", "How many stab or cut wounds are there?"),
    ):
        if of := [one for one in injuries if one.cause == cause]:
            pages = tuple(Ref(f"Finding {one.number}", one.url) for one in of)
            yield Question(key, asks, lines or (_NO_COUNT,), pages)
    if answers.looked_for:
        looked = tuple(Said(one.words) for one in answers.looked_for)
        yield Question("negatives", "What did you look for and not find?", looked)
    if answers.taken_here or any(
        one.is_injury or one.klass in _QUESTIONED for one in answers.findings
    ):
        yield _on_specimens(answers.taken_here)


_NO_COUNT = Said("No number is recorded.", recorded=False)


def _counted(count: CountAnswer) -> Said:
    return Said(f"{_capital(count.where)}: {count.words}")


def _on_specimens(taken: tuple[TakenAnswer, ...]) -> Question:
    if not taken:
        none = Said("No specimen is recorded as taken there.", recorded=False)
        return Question("specimen", "Was a specimen taken there?", (none,))
    lines: list[Said] = []
    for one in taken:
        lines += [Said(one.words, one.why), one.held]
        lines += [Said(one.result_words)] if one.result_words else []
    pages = tuple(Ref(f"Item {one.item_number}", one.url) for one in taken)
    return Question("specimen", "Was a specimen taken there?", tuple(lines), pages)


def _on_file(picture: PictureAnswer, answers: ExhibitAnswers) -> Iterator[Question]:
    which = "this picture" if len(answers.pictures) == 1 else f"photograph {picture.number}"
    page, key = (_page_of(picture),), picture.photograph_id
    yield Question(f"taken:{key}", f"Who took {which}, and when?", _taken(picture), page)
    lines = [picture.same_bytes, *_once([picture.read_again, picture.held])]
    if picture.redacted:
        lines.insert(0, Said("A redacted copy is shown; the original is kept."))
    yield Question(
        f"bytes:{key}",
        f"Is {which} as the camera made it?",
        tuple(lines),
        (Ref("Custody", picture.custody_url),),
    )


def _taken(picture: PictureAnswer) -> tuple[Said, ...]:
    lines = [picture.taken]
    if picture.taken_by and picture.taken_by not in picture.taken.words:
        lines.append(Said(f"Taken by {picture.taken_by}"))
    return (*lines, *([picture.clock] if picture.clock.recorded else []))


def _on_the_report(answers: ExhibitAnswers) -> Iterator[Question]:
    report = answers.report
    page = (Ref("Report", report.url),)
    for one in answers.findings:
        if one.passages:
            yield Question(
                f"report:{one.finding_id}",
                f"What does your report say about {_called(one, answers)}?",
                tuple(line for passage in one.passages for line in _passage(passage)),
                tuple(Ref(_titled(passage), passage.url) for passage in one.passages),
            )
        elif report.signed_at is not None:
            none = Said("The signed report has no passage about it.", recorded=False)
            asks = f"What does your report say about {_called(one, answers)}?"
            yield Question(f"report:{one.finding_id}", asks, (none,), page)
    if report.signed_at is not None:
        changed = [(f"Finding {one.number}", one.changed) for one in answers.findings] + [
            (_photograph(one), one.changed) for one in answers.pictures
        ]
        lines = [Said(f"{what}: {one.words}") for what, one in changed if one.changed]
        pages = [Ref(f"{what}, history", one.url) for what, one in changed if one.changed]
        yield Question(
            "changed",
            "Has the record changed since you signed?",
            (Said(report.changed.words), *lines, *(Said(ref.words) for ref in report.addenda)),
            (Ref("History", report.changed.url), *pages, *report.addenda),
        )


def _passage(passage: PassageAnswer) -> Iterator[Said]:
    yield Said(f"“{passage.words}”", _where(passage))
    if passage.taken_out:
        yield Said("An amendment took these words out; the report no longer states them.")
    if passage.now:
        yield Said(f"As amended: “{passage.now}”")
    if passage.record:
        yield Said(f"The record says today: “{passage.record}”")


def _titled(passage: PassageAnswer) -> str:
    return f"{passage.title}, what it means" if passage.is_meaning else passage.title


def _where(passage: PassageAnswer) -> str:
    if passage.signed_at is None:
        return "The report is not signed."
    if passage.page is None:
        return ""
    lines = ""
    if passage.first_line is not None and passage.last_line is not None:
        same = passage.first_line == passage.last_line
        lines = f", line {passage.first_line}"
        lines += "" if same else f" to {passage.last_line}"
    return f"Signed report, page {passage.page}{lines}."


def _on_disagreements(answers: ExhibitAnswers) -> Iterator[Question]:
    seen: dict[str, int] = {}
    for one in answers.disagreements:
        seen[one.kind] = seen.get(one.kind, 0) + 1
        yield Question(
            f"differs:{one.kind}:{seen[one.kind]}",
            "Two parts of your record do not say the same. Which is right?",
            (Said(one.words), Said("The record does not say which is right.", recorded=False)),
            (one.here, one.there),
        )


def _class_words(finding: FindingAnswer) -> str:
    return _CLASS_WORDS.get(FindingClass(finding.klass), finding.klass)


def _page_of(picture: PictureAnswer) -> Ref:
    return Ref(_photograph(picture), picture.url)


def _photograph(picture: PictureAnswer) -> str:
    return f"Photograph {picture.number}"


def _once(lines: Iterable[Said]) -> list[Said]:
    return list(dict.fromkeys(line for line in lines if line.words))


def _small(term: str) -> str:
    return term[:1].lower() + term[1:] if term[1:2].islower() else term


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _sentence(words: str) -> str:
    said = words.strip()
    return said if not said or said[-1] in ".?!”" else f"{said}."
