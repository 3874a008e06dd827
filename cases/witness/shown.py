"""The answers of an exhibit as its page lays them out; it says nothing that they do not say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from cases.explanations.queries import asked_of
from cases.explanations.rules import PictureAsked, explained_here
from cases.statements.queries import Said as SaidBefore
from cases.witness.answers import (
    ExhibitAnswers,
    FindingAnswer,
    LayerAnswer,
    PassageAnswer,
    PictureAnswer,
    Ref,
)
from cases.witness.reading import CaseRead
from evidence.measuring.drawing import drawn_lines, line_sizes
from evidence.photographs.models import Photograph
from evidence.photographs.outlines import Overlay, overlay_of
from findings.body.marks import CLASSES, num
from me_office.moments import local

# So many findings stand beside each other; more stand below each other.
MOST_COLUMNS = 3
_SHORT = {
    "Its mark on the body chart": "Body chart",
    "All photographs of it": "Photographs",
    "Its history": "History",
}
# On the page a picture is about this wide: the numbers on it stay readable.
_SHOWN_PX = 620


@dataclass(frozen=True)
class ShownPicture:
    """A picture with what is drawn on it."""

    answer: PictureAnswer
    photograph: Photograph
    url: str
    overlay: Overlay
    unit: str
    drawn: list[dict[str, object]]
    lines: Mapping[str, int]
    has_picture: bool

    @property
    def shape(self) -> str:
        """Whether it stands or lies, for the room that it gets."""
        return "tall" if self.overlay.height > self.overlay.width else "wide"


@dataclass(frozen=True)
class ShownPassage:
    """A passage of the report with where it stands, in words."""

    said: PassageAnswer

    @property
    def where(self) -> str:
        """Page and lines of the signed PDF: page 2, lines 14 to 19."""
        signed = self.said.signed_at
        if signed is None:
            return "draft, not signed"
        return f"{self.said.where} · signed {local(signed):%-d %b %Y}"

    @property
    def since(self) -> tuple[str, ...]:
        """What became of the signed words: taken out, amended, another record."""
        said = self.said
        return (
            *(("taken out by an amendment: no longer stated",) if said.taken_out else ()),
            *((f"amended: {said.now}",) if said.now else ()),
            *((f"the record now says: {said.record}",) if said.record else ()),
        )


@dataclass(frozen=True)
class ShownFinding:
    """A finding's answers, in the color of its class."""

    answer: FindingAnswer
    css: str
    passages: tuple[ShownPassage, ...]
    layers: tuple[LayerAnswer, ...]
    said: Sequence[SaidBefore]

    @property
    def named(self) -> str:
        """How the finding is called where a link needs its name."""
        return f"finding {self.answer.number}"

    @property
    def ways(self) -> list[Ref]:
        """Where to go from the finding, in short; its measurements stand with its size."""
        measured = {one.url for one in self.answer.size.on_photographs}
        return [
            Ref(_SHORT.get(one.words, one.words), one.url)
            for one in self.answer.thread
            if one.url not in measured
        ]

    @property
    def unrecorded(self) -> str:
        """The usual layers of which nothing is recorded, in one line."""
        return ", ".join(one.layer for one in self.answer.layers if not one.recorded)


def shown_findings(
    answers: ExhibitAnswers, said: Mapping[UUID, Sequence[SaidBefore]]
) -> list[ShownFinding]:
    """Return the findings of an exhibit as they are laid out, with what was said of each before."""
    return [
        ShownFinding(
            one,
            CLASSES.get(one.klass.replace(" ", "_"), CLASSES["other"]).css,
            tuple(map(ShownPassage, one.passages)),
            tuple(layer for layer in one.layers if layer.recorded),
            said.get(one.finding_id, ()),
        )
        for one in answers.findings
    ]


def said_of_exhibit(
    answers: ExhibitAnswers,
    of_exhibit: Mapping[UUID, Sequence[SaidBefore]],
    of_photographs: Mapping[UUID, Sequence[SaidBefore]],
    of_findings: Mapping[UUID, Sequence[SaidBefore]],
) -> list[tuple[str, SaidBefore]]:
    """What was said of the exhibit or a photograph of it, but what stands with its findings."""
    there = {each.passage_id for said in of_findings.values() for each in said}
    found: dict[UUID, tuple[str, SaidBefore]] = {}
    for each in of_exhibit.get(answers.exhibit_id, ()):
        found.setdefault(each.passage_id, (f"exhibit {answers.number}", each))
    for one in answers.pictures:
        for each in of_photographs.get(one.photograph_id, ()):
            found.setdefault(each.passage_id, (f"photograph {one.number}", each))
    return [told for key, told in found.items() if key not in there]


def columns_of(answers: ExhibitAnswers) -> int:
    """Return how many findings stand beside each other; 0 where they stand below each other."""
    count = len(answers.findings)
    return count if 0 < count <= MOST_COLUMNS else 0


def shown_pictures(read: CaseRead, answers: ExhibitAnswers) -> list[ShownPicture]:
    """Return the pictures of an exhibit with outlines and measures; no statement."""
    shown = []
    for place, one in enumerate(answers.pictures):
        photograph = read.photographs[one.photograph_id]
        overlay = overlay_of(photograph, photograph.active_links, part=f"-{place}")
        width, height = overlay.width, overlay.height
        measured = [each for each in read.measurements if each.photograph_id == photograph.pk]
        shown.append(
            ShownPicture(
                answer=one,
                photograph=photograph,
                url=one.screen_url,
                overlay=overlay,
                unit=num(max(width, height) / _SHOWN_PX),
                drawn=[drawn_lines(each, width, height) for each in measured],
                lines={"width": width, "height": height, **line_sizes(width, height)},
                has_picture=photograph.preview == "made" or one.redacted,
            )
        )
    return shown


def plain_of(answers: ExhibitAnswers) -> str:
    """The plain words of the exhibit, else those of the terms of its findings, each once."""
    said = [one.plain for one in answers.findings if one.plain]
    return answers.plain_words or " ".join(dict.fromkeys(said))


def explanation_keys(read: CaseRead, answers: ExhibitAnswers) -> tuple[str, ...]:
    """Return which standing explanations belong to the pictures of an exhibit, each once."""
    findings = tuple(asked_of(read.by_number[one.number]) for one in answers.findings)
    found: dict[str, None] = {}
    for one in answers.pictures:
        picture = PictureAsked(
            view=read.photographs[one.photograph_id].view,
            with_scale=one.with_scale,
            covered=one.redacted,
            findings=findings,
        )
        found |= dict.fromkeys(explained_here(picture))
    return tuple(found)
