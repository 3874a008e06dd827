"""Lividity against the position in which the body was found.

Compares the position that the recorded lividity matches with the position found, and says what
can be asked when lividity was fixed, unfixed or not tested. It also lists the regions that each
position leads one to expect.

Formula:
    agrees = the position that lividity matches is the position found
    fixed and different: a change of position after fixation is one explanation
    unfixed and different: the position may have been changed
    fixation not recorded and different: no conclusion

Range:
    Room temperature, adult, no great loss of blood.

Sources:
    - Levy AD, Harcke HT. Essentials of Forensic Imaging, chapter 3 (excerpt seen: visible 20 min
      to 2 h, greatest and fixed at 8 to 12 h; pale areas when supine).
    - A forensic pathology handbook section on a public health page (excerpt seen: fixation 6 to
      12 h, up to 3 days; shifting and blanching times).
    - Mallach HJ 1964, as used by Henssge and Madea 2004 (from memory).
    - Dependent and pale regions other than those of the supine body: from memory.
    - The conclusion itself: common practice.

Cautions:
    - Published times of fixation overlap widely: lividity gives no time of death by itself.
    - A body moved while lividity can still shift shows two patterns.
    - Compare the lividity of the scene: after hours on the back, that of the examination says
      little. A body may have been turned by helpers.
    - Faint after loss of blood, hard to see in dark skin; red in cold, after refrigeration, with
      carbon monoxide or cyanide; brown with methemoglobin.
    - Lividity and bruise can look alike: incision helps and histology may be needed; after
      decomposition or hemolysis it may remain undetermined.
    - It supports the judgment of a licensed pathologist and does not replace it.
"""

from __future__ import annotations

from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.result import Outcome, Plain

# Dependent and pale regions by position. Supine pale areas of upper back, buttocks and calves:
# published, chapter text seen; all others from memory.
REGIONS: dict[str, dict[str, tuple[str, ...]]] = {
    "supine": {
        "dependent": (
            "back of head and neck",
            "back of trunk",
            "backs of arms and legs",
            "ear lobes (lower parts)",
        ),
        "pale": (
            "shoulder blades",
            "buttocks",
            "calves",
            "heels",
            "back of head at the point of contact",
        ),
    },
    "prone": {
        "dependent": ("face", "front of neck", "chest", "abdomen", "fronts of arms and legs"),
        "pale": (
            "tip of nose, chin, forehead where in contact",
            "breasts or chest contact",
            "front of pelvis",
            "knees",
        ),
    },
    "left side": {
        "dependent": ("left side of head, trunk and limbs",),
        "pale": ("left shoulder", "left hip", "outer left knee and ankle"),
    },
    "right side": {
        "dependent": ("right side of head, trunk and limbs",),
        "pale": ("right shoulder", "right hip", "outer right knee and ankle"),
    },
    "sitting": {
        "dependent": (
            "buttocks and backs of thighs (around the contact)",
            "lower legs and feet",
            "forearms and hands if hanging",
        ),
        "pale": ("seat contact of buttocks and thighs", "back where it leans"),
    },
    "hanging": {
        "dependent": (
            "lower legs and feet",
            "forearms and hands",
            "lower abdomen above a tight waistband",
        ),
        "pale": ("under the ligature", "under tight clothing"),
    },
    "head down": {
        "dependent": ("head", "neck", "upper chest"),
        "pale": ("contact points",),
    },
    "semi-prone": {
        "dependent": ("front and lower side of face, trunk and limbs",),
        "pale": ("lower cheek, shoulder, hip and knee where in contact",),
    },
    "seated leaning": {
        "dependent": ("buttocks and thighs", "lower legs and feet", "the side leaned on"),
        "pale": ("seat contact", "trunk where it leans"),
    },
    "crouched": {
        "dependent": ("lower legs and feet", "hands and forearms", "lower trunk"),
        "pale": ("folds and contact of thighs, calves and abdomen",),
    },
    "kneeling": {
        "dependent": ("lower legs and feet", "hands and forearms"),
        "pale": ("knees and shins in contact",),
    },
    "partly suspended": {
        "dependent": ("lower legs and feet", "forearms and hands", "what hangs lowest"),
        "pale": ("under the ligature", "where the body touches the ground"),
    },
    "in a vehicle": {
        "dependent": ("buttocks and backs of thighs", "lower legs and feet", "forearms and hands"),
        "pale": ("seat and back-rest contact", "under a belt"),
    },
    "in water": {
        "dependent": ("head, chest, arms and legs of a body floating face down",),
        "pale": ("what lay against the bottom, if anything",),
    },
}
POSITIONS = tuple(REGIONS)
QUESTIONS = ("expected dependent", "expected pale", "lividity hours", "rigor hours")

# Hours after death, published in the excerpts named above; confluence from memory. The widest
# time of fixation joins '6 to 12 h' with 'up to 3 days' of the same excerpt.
LIVIDITY_HOURS = {
    "visible": (0.33, 2.0),
    "visible, widest": (0.33, 4.0),
    "confluent (from memory)": (1.0, 4.0),
    "greatest": (8.0, 12.0),
    "greatest, widest": (3.0, 16.0),
    "fixed": (8.0, 12.0),
    "fixed, widest": (6.0, 72.0),
    "shifts completely": (2.0, 6.0),
    "shifts incompletely": (4.0, 24.0),
    "blanches on thumb pressure": (1.0, 20.0),
}
# Hours after death; 'complete' published, the others from memory (textbooks differ).
RIGOR_HOURS = {
    "begins in jaw and face (from memory)": (2.0, 4.0),
    "complete": (8.0, 12.0),
    "persists (from memory)": (24.0, 36.0),
    "gone (from memory)": (36.0, 72.0),
    "forms again after breaking (from memory)": (2.0, 8.0),
}


def _conclusion(is_consistent: bool, is_fixed: bool | None) -> str:
    if is_consistent:
        return "lividity agrees with the position found"
    if is_fixed is None:
        return "lividity does not agree; fixation not recorded: no conclusion, record blanching"
    if is_fixed:
        return (
            "fixed lividity does not go with the position found: a change of position after it "
            "fixed is one explanation; ask who moved the body and when"
        )
    return (
        "unfixed lividity does not agree: position may have been changed, lividity could still "
        "shift"
    )


def _plain(regions: tuple[str, ...]) -> list[Plain]:
    return list(regions)


def _hours(table: dict[str, tuple[float, float]]) -> Outcome:
    hours: dict[str, Plain] = {stage: [low, high] for stage, (low, high) in table.items()}
    return Outcome(
        fields={"hours": hours},
        value=hours,
        unit="h",
        warnings=("single figures give no time of death",),
    )


def _asked(inputs: Inputs) -> Outcome:
    question = inputs.text("question")
    for name in ("position_found", "lividity_matches", "fixed"):
        if inputs.has(name):
            raise BadInput(name, "give either a question, or a comparison")
    if question == "lividity hours":
        return _hours(LIVIDITY_HOURS)
    if question == "rigor hours":
        return _hours(RIGOR_HOURS)
    position = inputs.text("position")
    regions = _plain(REGIONS[position][question.removeprefix("expected ")])
    return Outcome(
        fields={"regions": regions},
        value=regions,
        warnings=("most of these regions are from memory",),
    )


def compute(inputs: Inputs) -> Outcome:
    """The comparison with the position found, or the regions to expect."""
    if inputs.has("position") or inputs.has("question"):
        return _asked(inputs)
    found, matches = inputs.text("position_found"), inputs.text("lividity_matches")
    is_consistent = found == matches
    statement = _conclusion(is_consistent, inputs.values.get("fixed"))
    return Outcome(
        fields={
            "consistent": is_consistent,
            "statement": statement,
            "expected_dependent": _plain(REGIONS[found]["dependent"]),
            "expected_pale": _plain(REGIONS[found]["pale"]),
        },
        value=statement,
    )


METHOD = define(
    __doc__,
    name="lividity_rigor",
    other_names=("lividity_check",),
    title="Lividity and position",
    version="1.1",
    fields=(
        Field("position_found", Kind.CHOICE, "Position of the body when found.", choices=POSITIONS),
        Field(
            "lividity_matches",
            Kind.CHOICE,
            "Position that the recorded lividity fits.",
            choices=POSITIONS,
        ),
        Field(
            "fixed", Kind.FLAG, "Whether lividity was fixed; empty if not tested.", nullable=True
        ),
        Field("position", Kind.CHOICE, "To list the regions of one position.", choices=POSITIONS),
        Field(
            "question",
            Kind.CHOICE,
            "Which regions, or which published hours, to list.",
            choices=QUESTIONS,
        ),
    ),
    result_fields=(
        ResultField("consistent", "", "Whether lividity agrees with the position found."),
        ResultField("statement", "", "What that means."),
        ResultField("expected_dependent", "", "Regions where lividity is expected."),
        ResultField("expected_pale", "", "Regions of contact that stay pale."),
        ResultField("regions", "", "Regions of one position, when asked for."),
        ResultField("hours", "h", "Published hours by stage, when asked for."),
    ),
    example={"position_found": "prone", "lividity_matches": "supine", "fixed": True},
    compute=compute,
)
