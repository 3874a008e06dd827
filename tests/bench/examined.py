"""The examination of one invented case: findings on the chart, photographs, specimens, custody."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from uuid import UUID

from cases.rules.case import CaseState
from findings.chart.placing import Placed, placed_by_mark
from findings.models import Examination, Finding, Interpretation, LayerFinding, Mark
from findings.organs.models import OrganWeight
from tests.bench.invented import Words
from tests.bench.kept import write_items, write_photographs
from tests.bench.plan import PlannedCase
from tests.bench.rows import Book
from tests.bench.seen import Examined

BODY, CROWN_HEEL_CM = "adult_male", 171.0
TERMS = [
    ("injury", "Contusion"), ("injury", "Abrasion"), ("injury", "Laceration"),
    ("injury", "Contusion"), ("postmortem change", "Lividity"), ("identifying feature", "Scar"),
    ("medical intervention", "Needle puncture"), ("natural disease", "Edema"),
]  # fmt: skip
ORGANS = [
    ("brain", 1390), ("heart", 410), ("right lung", 560), ("left lung", 500), ("liver", 1620),
    ("spleen", 170), ("right kidney", 150), ("left kidney", 155),
]  # fmt: skip


@dataclass(frozen=True)
class Anchor:
    """A place on the chart where a mark can stand."""

    view: str
    u: float
    v: float
    placed: Placed


@lru_cache(maxsize=1)
def anchors() -> tuple[Anchor, ...]:
    """Places all over the front and the back of the drawn body."""
    found = []
    for view in ("anterior", "posterior"):
        for u in range(-100, 101, 20):
            for v in range(60, 900, 70):
                placed = placed_by_mark(BODY, view, "point", [[u, v]], CROWN_HEEL_CM)
                if placed is not None:
                    found.append(Anchor(view, u, v, placed))
    return tuple(found)


def was_examined(case: PlannedCase) -> bool:
    """Tell whether the case has got as far as the examination."""
    if case.pathologist is None or not case.is_ours or case.state is CaseState.CLOSED:
        return False
    return case.state is not CaseState.OPEN or (case.index % 3 != 0 and case.index % 7 != 2)


def write_examination(
    book: Book, words: Words, case: PlannedCase, copies: list[tuple[UUID, UUID]]
) -> Examined:
    """Write the examination and everything taken at it; `copies` are small and screen pictures."""
    done = Examined()
    if not was_examined(case):
        return done
    by, at = case.pathologist, case.after(hours=28)
    assert by is not None
    ended = case.state is not CaseState.OPEN or case.index % 2 == 0
    book.next_act()
    examination = book.record(
        Examination,
        at,
        by,
        act="open_examination",
        case_id=case.key,
        kind="full autopsy",
        chart_body=BODY,
        began_at=at,
        ended_at=case.after(hours=31) if ended else None,
        place="Room 2",
        pathologist_id=by.pk,
        circumstances_reviewed=True,
        crown_heel_cm=CROWN_HEEL_CM,
        body_weight_kg=78.4,
        clothing="Shirt, trousers, socks.",
        external=words.text(5),
        postmortem_changes=words.text(2),
        treatment=words.text(1),
        cavities=words.text(2),
        internal=words.text(8),
    )
    for number in range(1, words.chance.randint(3, 9) + 1):
        _finding(book, words, case, examination, number, done)
    _organs(book, words, case, examination, done)
    write_photographs(book, words, case, copies, done)
    write_items(book, case, done)
    return done


def _finding(
    book: Book, words: Words, case: PlannedCase, examination: UUID, number: int, done: Examined
) -> None:
    by, at = case.pathologist, case.after(hours=28, minutes=12 * number)
    assert by is not None
    anchor, (klass, term) = words.chance.choice(anchors()), words.chance.choice(TERMS)
    placed, long_mm = anchor.placed, words.chance.randint(8, 120)
    injury = klass == "injury"
    book.next_act()
    common = {"case_id": case.key, "act": "record_finding"}
    key = book.record(
        Finding,
        at,
        by,
        examination_id=examination,
        number=number,
        klass=klass,
        term=term,
        mechanism="blunt" if injury else "",
        region=placed.region,
        place=placed.place,
        place_source="derived",
        above_heel_cm=placed.above_heel_cm,
        below_top_cm=placed.below_top_cm,
        from_midline_cm=placed.from_midline_cm,
        midline=placed.midline,
        length_mm=long_mm,
        width_mm=long_mm / 2,
        measured_by="ruler",
        seen_as=words.text(1),
        timing="antemortem" if injury else "",
        impacts_kind="at least" if injury else "",
        impacts=1 if injury else None,
        **common,
    )
    done.findings.append(key)
    kind, points = _drawn(words, anchor)
    book.record(
        Mark,
        at,
        by,
        finding_id=key,
        view=anchor.view,
        kind=kind,
        points=points,
        surface_point=list(placed.surface_point),
        region=placed.region,
        **common,
    )
    mark = {"number": number, "klass": klass, "kind": kind, "view": anchor.view, "points": points}
    done.marks.append(mark)
    size = f"{long_mm / 10:.1f} × {long_mm / 20:.1f} cm"
    done.legend.append(
        {"number": number, "term": term, "place": placed.place, "size": size, "klass": klass}
    )
    done.passages.append(
        {
            "key": f"finding-{number}",
            "finding": str(key),
            "number": number,
            "photographs": [number],
            "group": "" if injury else klass,
            "text": f"{term} of the {placed.place}, {size}. {words.text(2)}",
        }
    )
    if injury:
        _below(book, case, key)


def _drawn(words: Words, anchor: Anchor) -> tuple[str, list[list[float]]]:
    u, v = anchor.u, anchor.v
    kind = words.chance.choice(["point", "point", "line", "area"])
    if kind == "point":
        return kind, [[u, v]]
    if kind == "line":
        return kind, [[u, v - 12], [u, v], [u + 3, v + 12]]
    return kind, [
        [u - 8, v - 6],
        [u, v - 9],
        [u + 8, v - 6],
        [u + 9, v + 6],
        [u, v + 9],
        [u - 8, v],
    ]


def _below(book: Book, case: PlannedCase, finding: UUID) -> None:
    by, at = case.pathologist, case.after(hours=30)
    assert by is not None
    common = {"case_id": case.key, "finding_id": finding}
    for layer, found in (("skin", "abraded"), ("subcutis", "hemorrhage, 4 mm")):
        book.record(LayerFinding, at, by, layer=layer, examined=True, found=found, **common)
    book.record(
        Interpretation,
        at,
        by,
        statement="a blow with or a fall against a blunt surface",
        standing="consistent with",
        ground="shape and place",
        confidence="possible",
        **common,
    )


def _organs(book: Book, words: Words, case: PlannedCase, examination: UUID, done: Examined) -> None:
    at, by = case.after(hours=30), case.pathologist
    assert by is not None
    book.next_act()
    for organ, usual in ORGANS:
        weight = usual + words.chance.randint(-40, 60)
        seen = {"examination_id": examination, "organ": organ, "weight_g": weight}
        act = "weigh_organ" if organ == "heart" else ""
        book.record(OrganWeight, at, by, act=act, case_id=case.key, seen_as="As usual.", **seen)
        done.organs.append([organ.capitalize(), f"{weight} g", "As usual."])
