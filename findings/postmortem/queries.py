"""Lividity and rigor of a case, and their words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from cases.models import Case, Scene
from cases.queries.file import moved_of, places_of
from cases.rules.lividity import SceneLividity
from findings.models import Examination
from findings.postmortem.models import Lividity, Rigor
from findings.postmortem.wording import LividRegion, lividity_words, rigor_words


def lividity_of(case: Case) -> list[Lividity]:
    """The active lividity rows of a case, from the head down."""
    order = {name: place for place, (name, _) in enumerate(Lividity.REGIONS)}
    rows = Lividity.objects.active().filter(case=case).order_by("created_at", "pk")
    return sorted(rows, key=lambda row: order[row.region])


def rigor_of(case: Case) -> list[Rigor]:
    """The active rigor rows of a case, from the jaw down."""
    order = {name: place for place, (name, _) in enumerate(Rigor.JOINTS)}
    rows = Rigor.objects.active().filter(case=case).order_by("created_at", "pk")
    return sorted(rows, key=lambda row: order[row.joint])


def as_region(row: Lividity) -> LividRegion:
    """A row as the rules see it."""
    return LividRegion(row.region, row.state, row.blanching, row.colour, row.note)


def postmortem_words(case: Case) -> str:
    """Lividity and rigor by region as the report says them; empty when nothing is recorded."""
    livid = lividity_words(as_region(row) for row in lividity_of(case))
    stiff = rigor_words((row.joint, row.stage, row.note) for row in rigor_of(case))
    return " ".join(part for part in (livid, stiff) if part)


def postmortem_rows_words(
    livid: Iterable[Mapping[str, str]], stiff: Iterable[Mapping[str, str]]
) -> str:
    """Return the same words from rows that were read together with something else.

    `livid`: region, state, blanching, color, note; `stiff`: joint, stage, note.
    """
    regions = [name for name, _ in Lividity.REGIONS]
    joints = [name for name, _ in Rigor.JOINTS]
    words = (
        lividity_words(
            LividRegion(**row)
            for row in sorted(livid, key=lambda one: regions.index(one["region"]))
        ),
        rigor_words(
            (row["joint"], row["stage"], row["note"])
            for row in sorted(stiff, key=lambda one: joints.index(one["joint"]))
        ),
    )
    return " ".join(part for part in words if part)


def scene_lividity(examination: Examination) -> SceneLividity:
    """Position, lividity and moving of the body as the scene says; empty when not stated."""
    scene = Scene.objects.filter(case=examination.case_id).order_by("pk").first()
    if scene is None:
        return SceneLividity()
    seen_at = scene.lividity_seen_at or scene.left_at
    hours = (examination.began_at - seen_at).total_seconds() / 3600 if seen_at else None
    return SceneLividity(
        position=scene.position,
        where=scene.lividity_where,
        blanching=scene.lividity_blanching,
        moved=moved_of(scene.moved_before, places_of(examination.case_id)),
        hours=hours,
    )
