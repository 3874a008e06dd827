"""What is answered about a photograph: what it is of, who took it when, who held it, its bytes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from uuid import UUID

from django.urls import reverse

from cases.checking import places
from cases.checking.told import regions_of
from cases.exhibits.models import Exhibit
from cases.witness.about_report import changed_since
from cases.witness.addresses import answers_url, history_url, photograph_url, shown_url
from cases.witness.answers import OtherPicture, PictureAnswer, Said
from cases.witness.reading import CaseRead, pictures_of
from evidence.clocks.queries import camera_of, corrected_time
from evidence.custody.queries import ItemCustody
from evidence.imaging import exif
from evidence.photographs.models import Photograph
from evidence.photographs.rules import NEARNESS
from findings.models import Finding
from findings.queries import place_of
from me_office.shell.templatetags.office import moment

NOT_RECORDED = "Not recorded."


def findings_in(read: CaseRead, photographs: Iterable[Photograph]) -> list[Finding]:
    """The active findings that pictures show, each once, by number."""
    numbers = {link.finding.number for one in photographs for link in one.active_links}
    return [one for one in read.findings if one.number in numbers]


def places_of(findings: Iterable[Finding]) -> list[str]:
    """Where findings are marked, in the trade's words, each once."""
    return list(
        dict.fromkeys(
            words
            for finding in findings
            for mark in finding.marks.all()
            if not mark.is_voided and (words := place_of(mark))
        )
    )


def about_picture(read: CaseRead, exhibit: Exhibit, photograph: Photograph) -> PictureAnswer:
    """Everything that is said of one photograph of an exhibit."""
    of_log = read.photographs.get(photograph.pk, photograph)
    findings = findings_in(read, [of_log])
    regions = regions_of(findings)
    custody = read.custody.get(of_log.item_id)
    keys = {"case_id": read.case.pk, "photograph_id": of_log.pk}
    return PictureAnswer(
        photograph_id=of_log.pk,
        number=of_log.number,
        shows=of_log.shows,
        region_as_worded=of_log.region,
        regions=tuple(places_of(findings)),
        side=places.side_of(regions),
        faces=_faces(regions),
        distance=of_log.get_view_display(),
        with_scale=of_log.with_scale,
        scale="with a scale" if of_log.with_scale else "without a scale",
        taken_at=of_log.taken_at,
        taken=_taken(of_log),
        clock=_clock(read, of_log),
        taken_by=of_log.photographer,
        held=held(custody),
        custody_unbroken=custody is not None and custody.chain.unbroken,
        custody_gaps=tuple(custody.chain.gaps) if custody else (),
        sha256=of_log.file.sha256,
        same_bytes=_same_bytes(read, of_log),
        read_again=_read_again(read, of_log),
        finding_numbers=tuple(one.number for one in findings),
        measurements=sum(one.photograph_id == of_log.pk for one in read.measurements),
        changed=changed_since(read, of_log.pk, "photograph"),
        redacted=any(not one.is_voided for one in photograph.redactions.all()),
        withdrawn=of_log.is_voided,
        url=reverse("evidence:photograph", kwargs=keys),
        screen_url=shown_url(exhibit, of_log.pk, "screen"),
        thumb_url=shown_url(exhibit, of_log.pk, "thumb"),
        custody_url=reverse(
            "custody:item", kwargs={"case_id": read.case.pk, "item_id": of_log.item_id}
        ),
        history_url=history_url(read.case.pk, "evidence_photograph", of_log.pk),
        measuring_url=reverse("measuring:measure", kwargs=keys),
    )


def _faces(regions: Sequence[str]) -> Said:
    facing = places.faces_of(regions)
    if not facing:
        return Said("The camera's direction is not recorded.", recorded=False)
    words = f"{facing[:1].upper()}{facing[1:]}"
    return Said(
        words if " of the " in facing else f"{words} of the body",
        "from where its findings are marked; the camera's direction is not recorded",
    )


def _taken(photograph: Photograph) -> Said:
    if photograph.taken_at is None:
        return Said("When it was taken is not recorded.", recorded=False)
    return Said(moment(photograph.taken_at), "as the photograph log says")


def _clock(read: CaseRead, photograph: Photograph) -> Said:
    """What the camera's clock says, and whether it was compared."""
    if exif.said_by_clock(photograph.exif) is None:
        return Said("The file does not say what the camera's clock showed.", recorded=False)
    clock = read.clocks.get(camera_of(photograph.exif))
    if clock is None:
        return Said("The camera's clock was not compared.", recorded=False)
    true = corrected_time(photograph, clock)
    words = f"The camera's clock {clock.ahead_words}"
    if true is not None:
        words += f"; corrected time {moment(true)}"
    return Said(f"{words}.", clock.known_from)


def held(custody: ItemCustody | None) -> Said:
    """Who holds an item since when, and whether every hand is accounted for."""
    if custody is None or not custody.chain.holder:
        return Said("No transfer is recorded.", recorded=False)
    chain = custody.chain
    since = f" since {moment(chain.since)}" if chain.since else ""
    ground = (
        "no gap in the recorded transfers"
        if chain.unbroken
        else f"custody has {_gaps(len(chain.gaps))}"
    )
    return Said(f"{chain.holder}{since}", ground)


def _gaps(number: int) -> str:
    return "1 gap" if number == 1 else f"{number} gaps"


def _same_bytes(read: CaseRead, photograph: Photograph) -> Said:
    problem = read.problems.get(photograph.file_id)
    if problem is not None:
        return Said(
            f"The stored file is not as it was added: {problem.get_kind_display()}, found "
            f"{moment(problem.found_at)}."
        )
    added = moment(photograph.file.stored_at)
    if _when_read_again(read, photograph) is None:
        return Said(f"Its SHA-256 digest was taken when it was added {added}.")
    return Said(f"Kept byte for byte as it was added {added}.", "its SHA-256 digest")


def _read_again(read: CaseRead, photograph: Photograph) -> Said:
    at = _when_read_again(read, photograph)
    if at is None:
        return Said("Not read again since it was added.", recorded=False)
    return Said(f"Read again {moment(at)}.", "the check of the whole file store")


def _when_read_again(read: CaseRead, photograph: Photograph) -> datetime | None:
    """When the last check of the store ended that its file was part of; None without one."""
    run = read.last_run
    if run is None or run.until < photograph.file.stored_at:
        return None
    return run.finished_at


def elsewhere(
    read: CaseRead, exhibit: Exhibit, findings: Sequence[Finding]
) -> tuple[OtherPicture, ...]:
    """Other pictures of the same place, those of the same findings first, from wider to closer."""
    own = pictures_of(exhibit)
    keys = {one.pk for one in own}
    numbers = {one.number for one in findings}
    series = frozenset[UUID]().union(*(read.series.get(key, frozenset()) for key in keys))
    worded = {one.region.strip().casefold() for one in own if one.region.strip()}
    found: list[tuple[tuple[int, int, bool, int], OtherPicture]] = []
    for other in read.photographs.values():
        if other.pk in keys or other.is_voided:
            continue
        shared = sorted(numbers & {link.finding.number for link in other.active_links})
        if shared:
            rank, why = 0, f"shows {_findings_words(shared)}"
        elif series & read.series.get(other.pk, frozenset()):
            rank, why = 1, "is in the same series"
        elif other.region.strip().casefold() in worded:
            rank, why = 2, f"is of the same part in the photograph log: {other.region.strip()}"
        else:
            continue
        place = (rank, _distance(other), other.with_scale, other.number)
        found.append((place, _other(read, own[0], other, why)))
    return tuple(one for _, one in sorted(found, key=lambda pair: pair[0]))


def _findings_words(numbers: Sequence[int]) -> str:
    named = ", ".join(str(number) for number in numbers)
    return f"finding {named}" if len(numbers) == 1 else f"findings {named}"


def _distance(photograph: Photograph) -> int:
    view = photograph.view
    return NEARNESS.index(view) if view in NEARNESS else len(NEARNESS)


def _nearness(own: Photograph, other: Photograph) -> str:
    if own.view not in NEARNESS or other.view not in NEARNESS:
        return ""
    by = _distance(other) - _distance(own)
    return "same distance" if by == 0 else "closer" if by > 0 else "wider"


def _other(read: CaseRead, own: Photograph, other: Photograph, why: str) -> OtherPicture:
    exhibit = read.exhibit_numbers.get(other.pk)
    near = _nearness(own, other)
    scale = "with scale" if other.with_scale else "without scale"
    keys = {"case_id": read.case.pk, "photograph_id": other.pk}
    return OtherPicture(
        photograph_id=other.pk,
        number=other.number,
        exhibit_number=exhibit.number if exhibit else "",
        distance=other.get_view_display(),
        nearness=near,
        with_scale=other.with_scale,
        words=", ".join(part for part in (near or other.get_view_display(), scale) if part),
        why=why,
        url=answers_url(exhibit) if exhibit else reverse("evidence:photograph", kwargs=keys),
        thumb_url=_thumb_url(read, exhibit, other),
    )


def _thumb_url(read: CaseRead, exhibit: Exhibit | None, other: Photograph) -> str:
    """Its small picture as a court is shown it; none of an original that is to stay unseen."""
    if exhibit:
        return shown_url(exhibit, other.pk, "thumb")
    if other.pk in read.redacted:
        return ""
    return photograph_url(read.case.pk, other.pk, "photograph-thumb")
