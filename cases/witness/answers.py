"""What an exhibit answers, as plain values: page, API and rehearsal say nothing beside these.

`recorded` is False where the record is silent; the words then say so ("Not recorded."). Addresses
are those of pages of this office.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID


@dataclass(frozen=True)
class Ref:
    """A place in the record, and the address where it is read."""

    words: str
    url: str


@dataclass(frozen=True)
class Said:
    """What the record says to one question, on what ground, or that it says nothing."""

    words: str
    ground: str = ""
    recorded: bool = True


@dataclass(frozen=True)
class Since:
    """What was changed since the report was signed, in one sentence, and where it is read."""

    words: str
    changed: bool
    url: str


@dataclass(frozen=True)
class Detail:
    """One thing that was seen, under its name: color, shape, margins."""

    name: str
    words: str


@dataclass(frozen=True)
class Neighbor:
    """The exhibit before or after, in the order of the set."""

    exhibit_id: UUID
    number: str
    caption: str
    url: str


@dataclass(frozen=True)
class PictureAnswer:
    """One photograph of the exhibit: what it is of, who took it when, who held it, its bytes.

    `regions` are parts of the body on which findings of the picture are marked; `region_as_worded`
    is what the photograph log says. `faces` names the side of the body that the picture shows.
    """

    photograph_id: UUID
    number: int
    shows: str
    region_as_worded: str
    regions: tuple[str, ...]
    side: str
    faces: Said
    distance: str
    with_scale: bool
    scale: str
    taken_at: datetime | None
    taken: Said
    clock: Said
    taken_by: str
    held: Said
    custody_unbroken: bool
    custody_gaps: tuple[str, ...]
    sha256: str
    same_bytes: Said
    read_again: Said
    finding_numbers: tuple[int, ...]
    measurements: int
    changed: Since
    redacted: bool
    withdrawn: bool
    url: str
    screen_url: str
    thumb_url: str
    custody_url: str
    history_url: str
    measuring_url: str


@dataclass(frozen=True)
class MeasuredAnswer:
    """A measurement on a photograph that is kept for a finding, as it may be shown.

    `gives` is the size of the finding that comes from it: "length", "width" or empty.
    """

    measurement_id: UUID
    number: int
    photograph_id: UUID
    photograph_number: int
    exhibit_number: str
    in_this_exhibit: bool
    kind: str
    words: str
    interval: str
    gives: str
    covers: tuple[str, ...]
    leaves_out: tuple[str, ...]
    warnings: tuple[str, ...]
    by: str
    at: datetime
    url: str


@dataclass(frozen=True)
class SizeAnswer:
    """How large a finding is and how that was measured; `sentence` says all of it at once.

    `unnamed` are measurements that name no finding, on photographs that show this one.
    """

    size: str
    how: Said
    on_photographs: tuple[MeasuredAnswer, ...]
    unnamed: tuple[MeasuredAnswer, ...]
    sentence: str
    recorded: bool


@dataclass(frozen=True)
class LayerAnswer:
    """A layer beneath a finding: examined with what was found, not examined, or not recorded."""

    layer: str
    examined: bool
    recorded: bool
    found: str
    words: str


@dataclass(frozen=True)
class MeaningAnswer:
    """What a finding may mean; `standing` is consistent with, not excluded, or excluded."""

    statement: str
    standing: str
    ground: str
    confidence: str
    words: str


@dataclass(frozen=True)
class NegativeAnswer:
    """What was looked for and not found; `against` are findings that may speak against it."""

    words: str
    against: tuple[int, ...]


@dataclass(frozen=True)
class PassageAnswer:
    """A passage of the report about a finding.

    `page` and lines are those of the signed PDF, None while they are not known; `where` says them
    as they are cited, or why there are none. `words` are those of the signed text where
    `signed_at` says when; `now` is what amendments made of them and `record` what the record says
    today, each empty where it is the same. `taken_out` tells that an amendment took the words out,
    `is_meaning` that they say what the finding means, not what was seen.
    """

    key: str
    title: str
    words: str
    page: int | None
    first_line: int | None
    last_line: int | None
    signed_at: datetime | None
    now: str
    record: str
    touched_by: tuple[Ref, ...]
    url: str
    where: str = ""
    pdf_url: str = ""
    is_meaning: bool = False
    taken_out: bool = False


@dataclass(frozen=True)
class ResultAnswer:
    """What was reported on a specimen."""

    number: int
    title: str
    status: str
    words: str
    after_signing: bool
    url: str


@dataclass(frozen=True)
class TakenAnswer:
    """A specimen or thing that was taken here; `why` says how the record ties it to this place.

    `of_finding` is True where the record names the finding itself, False where it names the same
    part of the body only.
    """

    item_number: int
    words: str
    purpose: str
    of_finding: bool
    finding_numbers: tuple[int, ...]
    why: str
    held: Said
    custody_unbroken: bool
    results: tuple[ResultAnswer, ...]
    result_words: str
    url: str
    custody_url: str


@dataclass(frozen=True)
class ShownOn:
    """A photograph that shows a finding, with its exhibit of this set where it has one."""

    photograph_id: UUID
    photograph_number: int
    exhibit_number: str
    in_this_exhibit: bool
    url: str


@dataclass(frozen=True)
class FindingAnswer:
    """Everything the record says of one finding of the picture.

    `klass` is the stored class, `klass_said` its words with the mechanism and their ground.
    `color_caution` is said of a bruise and empty otherwise. `thread` leads to each end.
    """

    finding_id: UUID
    number: int
    term: str
    plain: str
    klass: str
    klass_said: Said
    is_injury: bool
    cause: str
    place: Said
    side: str
    regions: tuple[str, ...]
    position: tuple[str, ...]
    size: SizeAnswer
    seen: tuple[Detail, ...]
    seen_as: Said
    wound: str
    path: str
    when: Said
    color_caution: str
    layers: tuple[LayerAnswer, ...]
    meanings: tuple[MeaningAnswer, ...]
    count: Said
    sentence: str
    passages: tuple[PassageAnswer, ...]
    amended_by: tuple[Ref, ...]
    changed: Since
    shown_on: tuple[ShownOn, ...]
    thread: tuple[Ref, ...]
    url: str


@dataclass(frozen=True)
class CountAnswer:
    """The least number of impacts and wounds of some findings, in words made by the rule.

    `where` is what was counted: "this picture", "chest", "the whole case". `more` says whether
    there may have been more.
    """

    where: str
    words: str
    blunt_at_least: int
    more: bool
    findings: int


@dataclass(frozen=True)
class CountsAnswer:
    """Counted three times by one rule: in the pictures of the exhibit, by region, in the case."""

    in_exhibit: CountAnswer
    in_regions: tuple[CountAnswer, ...]
    in_case: CountAnswer


@dataclass(frozen=True)
class OtherPicture:
    """Another picture of the same place: wider, closer or as close, with or without a scale.

    `thumb_url` is empty where a redacted copy stands that this set does not show.
    """

    photograph_id: UUID
    number: int
    exhibit_number: str
    distance: str
    nearness: str
    with_scale: bool
    words: str
    why: str
    url: str
    thumb_url: str


@dataclass(frozen=True)
class Disagreement:
    """Two places of the record that do not say the same. Nothing is judged."""

    kind: str
    words: str
    here: Ref
    there: Ref


@dataclass(frozen=True)
class ReportAnswer:
    """How the report stands: signed when, amended by what, changed since by what."""

    signed_at: datetime | None
    state: Said
    addenda: tuple[Ref, ...]
    changed: Since
    url: str


@dataclass(frozen=True)
class ExhibitAnswers:
    """All answers of one exhibit."""

    case_id: UUID
    case_label: str
    set_id: UUID
    set_title: str
    exhibit_id: UUID
    number: str
    caption: str
    plain_words: str
    place_in_set: int
    of_set: int
    url: str
    previous: Neighbor | None
    next: Neighbor | None
    body_part: Said
    pictures: tuple[PictureAnswer, ...]
    findings: tuple[FindingAnswer, ...]
    counts: CountsAnswer
    looked_for: tuple[NegativeAnswer, ...]
    taken_here: tuple[TakenAnswer, ...]
    elsewhere: tuple[OtherPicture, ...]
    disagreements: tuple[Disagreement, ...]
    report: ReportAnswer
