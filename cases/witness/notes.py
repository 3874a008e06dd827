"""What a witness reads of an exhibit in the window beside the courtroom screen."""

from __future__ import annotations

from uuid import UUID

from cases.access import Act, may
from cases.exhibits.models import ExhibitSet
from cases.exhibits.presenting import Note, register_notes
from cases.models import Case
from cases.witness.answers import ExhibitAnswers, FindingAnswer, Said
from cases.witness.queries import answers_for_set
from cases.witness.shown import ShownPassage
from me_office.accounts.models import Staff

NO_FINDING = Note("Findings it shows", ("No finding is linked to what it shows.",))


def _notes(actor: Staff, case: Case, exhibit_set: ExhibitSet) -> dict[UUID, list[Note]]:
    if not may(actor, Act.ANSWER_AS_WITNESS, case):
        return {}
    return {one.exhibit_id: notes_on(one) for one in answers_for_set(case, exhibit_set)}


def notes_on(answers: ExhibitAnswers) -> list[Note]:
    """Return how many there are, its findings with the report's words, who took and holds it."""
    counts = answers.counts
    many = f"In this picture: {counts.in_exhibit.words}. The whole case: {counts.in_case.words}."
    pictures = []
    for one in answers.pictures:
        named = f"Photograph {one.number}: " if len(answers.pictures) > 1 else ""
        pictures.append(f"{named}{one.taken.words.rstrip('.')} by {one.taken_by}.")
        pictures.append(f"Held: {_with_ground(one.held)}")
    return [
        Note("How many in all", (many,)),
        *(map(_of_finding, answers.findings) if answers.findings else (NO_FINDING,)),
        Note("Taken and held", (" ".join(pictures),)),
    ]


def _of_finding(one: FindingAnswer) -> Note:
    layers = " ".join(layer.words for layer in one.layers if layer.recorded)
    if silent := ", ".join(layer.layer for layer in one.layers if not layer.recorded):
        layers += f" Not recorded whether examined: {silent}."
    klass = one.klass_said
    same = klass.ground == one.when.ground
    kind = f"{klass.words}." if same else _with_ground(klass)
    meanings = " ".join(meaning.words for meaning in one.meanings)
    answers = (
        f"{one.place.words.rstrip('.')}. {kind} {one.size.sentence}",
        f"{_with_ground(one.when)} {layers.strip() or 'No layer is recorded beneath it.'}",
        f"{meanings or 'Nothing recorded on what it may mean.'} {one.count.words}",
    )
    passages = map(ShownPassage, one.passages)
    return Note(
        f"{one.number} {one.term}",
        answers,
        tuple((passage.said.words, passage.where, passage.since) for passage in passages),
    )


def _with_ground(said: Said) -> str:
    words = said.words.rstrip(".")
    return f"{words} ({said.ground})." if said.ground else f"{words}."


register_notes("witness", _notes)
