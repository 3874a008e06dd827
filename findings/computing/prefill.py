"""What the case file knows for the inputs of a method, each value with where it stands."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from cases.models import Case, Decedent, SceneReading
from cases.rules.case import Certainty
from findings.calculations.fields import BadInput
from findings.calculations.lividity_check import POSITIONS
from findings.calculations.organ_reference import ORGAN_NAMES
from findings.calculations.registry import calculate
from findings.computing import queries
from findings.models import Examination, Finding
from findings.organs.models import OrganWeight
from findings.paths.queries import points_of
from findings.postmortem.queries import as_region, lividity_of
from findings.postmortem.wording import lividity_words
from findings.rules import Blanching, DepthWay
from findings.words.counting import Cause, cause_of
from findings.words.sentences import begin_small
from me_office.shell.templatetags.office import day, short_moment

DAYS_A_YEAR = 365.25
GROWTH_TO_YEARS = 5
BURN_TERMS = ("burn", "scald")


@dataclass(frozen=True)
class Known:
    """A value that the case file holds, and where it stands there."""

    value: Any
    source: str


KnownValues = dict[str, Known]


def known_for(method: str, case: Case, picked: Mapping[str, str]) -> KnownValues:
    """The values for a method's form fields; `picked` names what was chosen on the page.

    A bounded number of statements, at most four.
    """
    found = _BY_METHOD[method](case, picked)
    return {name: known for name, known in found.items() if known is not None}


def _measured(examination: Examination | None, kilograms: str, centimeters: str) -> dict[str, Any]:
    if examination is None:
        return {}
    where = f"examination, {day(examination.began_at)}"
    found: dict[str, Any] = {}
    if examination.body_weight_kg is not None and kilograms:
        found[kilograms] = Known(float(examination.body_weight_kg), where)
    if examination.crown_heel_cm is not None and centimeters:
        found[centimeters] = Known(float(examination.crown_heel_cm), where)
    return found


def _reading_words(reading: SceneReading) -> str:
    how = f", {reading.method}" if reading.method else ""
    return f"scene reading, {reading.get_kind_display()}, {short_moment(reading.read_at)}{how}"


def _ambient(readings: list[SceneReading], *, as_range: bool) -> dict[str, Any]:
    air = [reading for reading in readings if reading.kind == "ambient"]
    if not air:
        return {}
    values = [float(reading.value_c) for reading in air]
    if len(air) == 1 or min(values) == max(values):
        return {"ambient_C": Known(values[-1], _reading_words(air[-1]))}
    span = (
        f"{len(air)} scene readings, {short_moment(air[0].read_at)} to "
        f"{short_moment(air[-1].read_at)}: {min(values):g} to {max(values):g} °C"
    )
    if not as_range:
        return {"ambient_C": Known(round(sum(values) / len(values), 1), f"mean of {span}")}
    return {
        "ambient_C": Known(min(values), span),
        "ambient_C__high": Known(max(values), "the highest of these readings"),
    }


def _cooling(case: Case, picked: Mapping[str, str]) -> dict[str, Any]:
    readings = queries.readings_of(case)
    found = _ambient(readings, as_range=True)
    rectal = [reading for reading in readings if reading.kind == "rectal"]
    if rectal:
        last = rectal[-1]
        more = f"; {len(rectal)} readings, this is the last" if len(rectal) > 1 else ""
        found["rectal_C"] = Known(float(last.value_c), _reading_words(last) + more)
        found["measured_at"] = Known(last.read_at, _reading_words(last))
    return {**found, **_measured(queries.examination_of(case), "mass_kg", "")}


def _curve(case: Case, picked: Mapping[str, str]) -> dict[str, Any]:
    found = _ambient(queries.readings_of(case), as_range=False)
    return {**found, **_measured(queries.examination_of(case), "mass_kg", "")}


def _vitreous(case: Case, picked: Mapping[str, str]) -> dict[str, Any]:
    examination = queries.examination_of(case)
    if examination is None:
        return {}
    return {"measured_at": Known(examination.began_at, "examination began; say when it was drawn")}


def _lividity(case: Case, picked: Mapping[str, str]) -> dict[str, Any]:
    scene = queries.scene_of(case)
    at_examination = _lividity_at_examination(case)
    if scene is None:
        return at_examination
    when = f", {short_moment(scene.lividity_seen_at)}" if scene.lividity_seen_at else ""
    found: dict[str, Any] = {}
    if scene.position in POSITIONS:
        found["position_found"] = Known(scene.position, "scene, position")
    if scene.lividity_blanching in ("blanches", "partly", "fixed"):
        words = scene.get_lividity_blanching_display()
        is_fixed = "yes" if scene.lividity_blanching == "fixed" else "no"
        found["fixed"] = Known(is_fixed, f"scene, lividity {words}{when}")
    if scene.lividity_where:
        spared = f", spared: {scene.lividity_spared}" if scene.lividity_spared else ""
        seen = f"scene, lividity seen{when}: {scene.lividity_where}{spared}"
        later = at_examination.get("lividity_matches")
        found["lividity_matches"] = Known("", f"{seen}; {later.source}" if later else seen)
    # The scene goes first: whoever is moved and laid down again may show it later.
    return {**at_examination, **found}


def _lividity_at_examination(case: Case) -> dict[str, Any]:
    """What the rows of lividity by region say, seen at the examination."""
    rows = lividity_of(case)
    if not rows:
        return {}
    tested = {row.blanching for row in rows if row.blanching not in ("", Blanching.NOT_TESTED)}
    seen = lividity_words(as_region(row) for row in rows).rstrip(".")
    found: dict[str, Any] = {"lividity_matches": Known("", f"examination: {begin_small(seen)}")}
    if tested:
        is_fixed = tested == {Blanching.FIXED}
        words = "fixed where it was tested" if is_fixed else "not fixed everywhere"
        found["fixed"] = Known("yes" if is_fixed else "no", f"examination, lividity {words}")
    return found


def _moment(at: datetime | None, certainty: str, words: str) -> Known | None:
    if at is None or certainty == Certainty.UNKNOWN:
        return None
    return Known(at, f"report of death, {words}, {certainty}")


def _summary(case: Case, picked: Mapping[str, str]) -> dict[str, Any]:
    """The widest reading of the report: alive at the first time named, dead by the last."""
    report = queries.report_of_death(case)
    if report is None:
        return {}
    alive, found = report.last_alive_certainty, report.found_certainty
    dead = _moment(report.found_until or report.found_at, found, "found")
    if dead is not None and report.last_alive_at and report.last_alive_at >= dead.value:
        # Found alive, or seen to collapse: dead when death was pronounced, if that is known.
        at = report.pronounced_at
        dead = Known(at, "report of death, pronounced") if at is not None else None
    return {
        "last_known_alive": _moment(report.last_alive_at, alive, "last known alive"),
        "found_dead": dead,
    }


def age_years(decedent: Decedent, on: date) -> Known | None:
    """The age in years, as stated or from the date of birth."""
    if decedent.age_years is not None:
        return Known(float(decedent.age_years), "decedent, age")
    if decedent.born_on is not None and decedent.born_on <= on:
        years = (on - decedent.born_on).days / DAYS_A_YEAR
        return Known(round(years, 2), f"decedent, born {day(decedent.born_on)}")
    return None


def _age(case: Case) -> Known | None:
    return age_years(case.decedent, case.reported_at.date())


def _sex(case: Case) -> Known | None:
    sex = case.decedent.sex
    return Known(sex, "decedent, sex") if sex in ("male", "female") else None


def _weight_words(weight: OrganWeight) -> str:
    return f"organ weights, {weight.get_organ_display().lower()}"


def _organ(case: Case, picked: Mapping[str, str]) -> dict[str, Any]:
    weights = {row.organ.replace(" ", "_"): row for row in queries.weights_of(case)}
    known = [organ for organ in ORGAN_NAMES if organ in weights]
    organ = picked.get("organ", "")
    organ = organ if organ in known else (known[0] if known else "")
    found: dict[str, Any] = {"sex": _sex(case), "age_years": _age(case)}
    if organ:
        words = _weight_words(weights[organ])
        found["organ"] = Known(organ, words)
        found["weight_g"] = Known(float(weights[organ].weight_g), words)
    return found


def _heart(case: Case, picked: Mapping[str, str]) -> dict[str, Any]:
    hearts = [row for row in queries.weights_of(case) if row.organ == "heart"]
    found = _measured(queries.examination_of(case), "body_kg", "height_cm")
    if hearts:
        found["heart_g"] = Known(float(hearts[0].weight_g), _weight_words(hearts[0]))
    return {**found, "age_years": _age(case)}


def _size(case: Case, picked: Mapping[str, str]) -> dict[str, Any]:
    found = _measured(queries.examination_of(case), "mass_kg", "height_cm")
    age = _age(case)
    if age is None or age.value >= GROWTH_TO_YEARS or _sex(case) is None:
        return found
    born = case.decedent.born_on
    days = (
        (case.reported_at.date() - born).days
        if case.decedent.age_years is None and born
        else round(age.value * DAYS_A_YEAR)
    )
    return {**found, "sex": _sex(case), "age_days": Known(days, age.source)}


def path_ends(injuries: list[Finding], picked: Mapping[str, str]) -> dict[str, Finding | None]:
    """The findings taken as entrance and end: as chosen, else by their terms."""
    by_number = {str(finding.number): finding for finding in injuries}

    def first(*words: str) -> Finding | None:
        return next((f for f in injuries if any(word in f.term.lower() for word in words)), None)

    guessed = {"entrance": first("entrance", "stab"), "terminus": first("wound of exit")}
    return {end: by_number.get(picked[end]) if picked.get(end) else guessed[end] for end in guessed}


def _end_known(end: str, finding: Finding, length_cm: float | None) -> dict[str, Any]:
    where = f"finding {finding.number}, {finding.term.lower()}"
    measured = f"{where}, {finding.position_source}"
    found: dict[str, Any] = {}
    for name, value in (
        ("left_cm", finding.from_midline_cm),
        ("above_heel_cm", finding.above_heel_cm),
        ("below_top_cm", finding.below_top_cm),
    ):
        if value is not None:
            found[f"{end}__{name}"] = Known(float(value), measured)
    point = next((mark.surface_point for mark in finding.marks.all() if mark.surface_point), None)
    if point and length_cm:
        front = round(float(point[1]) * length_cm / 1000, 1)
        source = f"{where}, from its mark on the body chart; measure it on the body"
        found[f"{end}__front_cm"] = Known(front, source)
    return found


def _path(case: Case, picked: Mapping[str, str]) -> dict[str, Any]:
    examination = queries.examination_of(case)
    found = _measured(examination, "", "body_length_cm")
    length = found["body_length_cm"].value if found else None
    ends = path_ends(queries.injuries_of(case), picked)
    for end, finding in ends.items():
        if finding is not None:
            found |= _end_known(end, finding, length)
    entrance = ends["entrance"]
    return found | _recorded_path(entrance, found) if entrance is not None else found


def _recorded_path(finding: Finding, found: Mapping[str, Any]) -> dict[str, Any]:
    """What the finding's own wound path says of both ends; it goes before single findings."""
    path = next(iter(finding.paths.all()), None)
    if path is None:
        return {}
    points = points_of(path, finding)
    where = f"wound path of finding {finding.number}"
    known: dict[str, Any] = {}
    for name, at in (
        ("entrance__above_heel_cm", points.entrance_height),
        ("entrance__left_cm", points.entrance_left),
        ("terminus__above_heel_cm", points.end_height),
        ("terminus__left_cm", points.end_left),
    ):
        if at.value is not None:
            known[name] = Known(at.value, f"{where}, {at.source}")
    if points.depth is not None:
        front = found["entrance__front_cm"].value if "entrance__front_cm" in found else 0.0
        known["entrance__front_cm"] = found.get(
            "entrance__front_cm", Known(0.0, f"{where}: depth is counted from here")
        )
        sign = -1 if points.depth_way == DepthWay.BACKWARD else 1
        deep = f"{where}, depth {points.depth:g} cm {points.depth_way}"
        known["terminus__front_cm"] = Known(round(front + sign * points.depth, 1), deep)
    return known


def finding_words(finding: Finding) -> str:
    """A finding as the tables of the calculations name it."""
    place = f", {finding.place}" if finding.place else ""
    return f"{finding.number} {finding.term}{place}"


def _impacts(case: Case, picked: Mapping[str, str]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for finding in queries.injuries_of(case):
        where = f"finding {finding.number}"
        blunt = cause_of(finding.mechanism, finding.term) == Cause.BLUNT
        counted = "count" if blunt else "leave"
        found[f"mark__{finding.number}"] = Known(counted, where)
        found[f"group__{finding.number}"] = Known(finding.impact_group, where)
    return found


def _burn(case: Case, picked: Mapping[str, str]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    age = _age(case)
    if age is not None:
        found["age"] = Known(f"{age.value:g}", age.source)
    examination = queries.examination_of(case) if picked.get("way") == "charted" else None
    if examination is None:
        return found
    areas = [
        (finding.number, percent)
        for finding in queries.injuries_of(case)
        if any(word in finding.term.lower() for word in BURN_TERMS)
        for mark in finding.marks.all()
        if (percent := _area(examination.chart_body, mark.view, mark.points)) is not None
    ]
    if areas:
        where = ", ".join(f"finding {number}: {percent:g} %" for number, percent in areas)
        lines = "\n".join(f"{percent:g}" for _, percent in areas)
        found["charted_percent"] = Known(lines, f"outlines on the body chart, {where}")
    return found


def _area(body: str, view: str, points: Any) -> float | None:
    if not isinstance(points, list) or len(points) < 3:
        return None
    try:
        result = calculate("body_area", {"body": body, "view": view, "outline": points})
    except BadInput:
        return None
    value = result.outcome.value
    return round(value, 2) if isinstance(value, float) else None


def _nothing(case: Case, picked: Mapping[str, str]) -> dict[str, Any]:
    return {}


_BY_METHOD: dict[str, Callable[[Case, Mapping[str, str]], dict[str, Any]]] = {
    "pmi_rectal": _cooling,
    "cooling_forward": _curve,
    "vitreous_potassium": _vitreous,
    "lividity_rigor": _lividity,
    "time_since_death": _summary,
    "organ_weights": _organ,
    "heart_for_body_weight": _heart,
    "body_size": _size,
    "wound_path": _path,
    "impacts": _impacts,
    "burn_area": _burn,
    "photo_scale": _nothing,
}
