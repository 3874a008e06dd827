"""Rules of consistency: each has rows that must speak, and more that must keep silent."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from cases.checking import conflicts, order
from cases.checking.conflicts import Recorded, Seen, Weighed
from cases.checking.disagreements import Told
from cases.checking.order import Times, When, uncertain
from cases.checking.saying import stated, stated_whole

# Words ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "clauses"),
    [
        ("Blood was taken.", ["Blood was taken."]),
        ("Blood was taken, but no urine.", ["Blood was taken"]),
        (
            "There is a fracture; the skin is intact.",
            ["There is a fracture", "the skin is intact."],
        ),
        ("No fracture.", []),
        ("His brother was shot.", []),
        ("History of a stab wound.", []),
        ("A witness heard two shots.", []),
        ("“Two gunshot wounds” was read out.", ["was read out."]),
        ("A stab wound in 2009.", []),
        ("Urine may be taken.", []),
        ("Swabs are to be taken.", []),
        ("The other driver has a fracture.", []),
        ("", []),
    ],
)
def test_what_words_state(text: str, clauses: list[str]):
    assert stated(text) == clauses


def test_a_sentence_with_a_denied_clause_states_nothing_as_a_whole():
    assert stated_whole("Two stab wounds, none deep.") == []
    assert stated_whole("Two stab wounds, both deep.") == ["Two stab wounds, both deep."]


# Region -----------------------------------------------------------------------------------------


def told(place: str, *bases: str) -> Told:
    return Told(3, "Contusion", bases=bases, place=place)


@pytest.mark.parametrize(
    ("place", "bases"),
    [
        ("Left thigh", ["pectoral"]),
        ("Back of the right hand", ["abdomen_upper"]),
        ("Forehead", ["knee"]),
        ("Right upper arm", ["leg_anterior"]),
        ("Left cheek", ["foot_dorsum"]),
        ("Right buttock", ["forehead"]),
        ("Sole of the left foot", ["palm"]),
    ],
)
def test_a_place_on_another_part_than_its_mark_is_asked_about(place: str, bases: list[str]):
    assert "its mark lies on another part" in conflicts.region_apart(told(place, *bases))


@pytest.mark.parametrize(
    ("place", "bases"),
    [
        ("", ["knee"]),
        ("Left thigh", []),
        ("Left thigh", ["thigh_anterior"]),
        ("Left shoulder", ["pectoral"]),
        ("Just above the left knee", ["thigh_anterior"]),
        ("Back of the left hand", ["hand_dorsum"]),
        ("Whole body", ["forehead"]),
        ("Left arm and chest", ["pectoral"]),
        ("Right flank", ["lateral_chest"]),
        ("Below the right ear", ["neck_lateral"]),
        ("Between the shoulder blades", ["back_upper"]),
        ("As drawn", ["knee"]),
        ("Mouth", ["nose"]),
        ("Right ear", ["neck_anterior"]),
    ],
)
def test_a_place_that_fits_its_mark_or_names_none_is_silent(place: str, bases: list[str]):
    assert conflicts.region_apart(told(place, *bases)) == ""


# Sex --------------------------------------------------------------------------------------------


def sex(recorded: str, body: str = "", weighed=(), findings=(), **written: str) -> list[str]:
    return [words for words, _ in conflicts.sex_apart(recorded, body, weighed, findings, written)]


@pytest.mark.parametrize(
    "asked",
    [
        sex("female", "adult_male"),
        sex("male", "adult_female"),
        sex("female", weighed=["prostate"]),
        sex("male", weighed=["uterus"]),
        sex("male", weighed=["left ovary"]),
        sex("female", findings=[Seen(1, "Contusion of the scrotum")]),
        sex("male", findings=[Seen(2, "Laceration", place="Right labia majora")]),
        sex("female", internal="The prostate is enlarged."),
        sex("male", internal="The uterus and ovaries are atrophic."),
    ],
)
def test_an_organ_of_the_other_sex_is_asked_about(asked: list[str]):
    assert len(asked) == 1
    assert asked[0].startswith("The decedent’s sex is recorded as ")


@pytest.mark.parametrize(
    "asked",
    [
        sex("", "adult_male", ["uterus"]),
        sex("unknown", "adult_female", ["prostate"]),
        sex("male", "adult_male", ["prostate"]),
        sex("female", "adult_female", ["uterus", "left ovary"]),
        sex("male", "child"),
        sex("female", internal="The uterus is unremarkable."),
        sex("female", internal="There is no prostate."),
        sex("male", internal="History of a hysterectomy of his wife; her uterus was removed."),
        sex("male", internal="“Uterus” stands on the label of the jar."),
        sex("male", internal="The uterus was removed at operation."),
        sex("female", internal="The prostate-specific antigen was not measured."),
        sex("male", internal="The cervical spine is intact. The tests were done."),
        sex("male", external="The penis is circumcised."),
        sex("male", external="The labial mucosa and the labial frenulum are torn."),
        sex("male", findings=[Seen(1, "Contusion", place="Labial mucosa of the lower lip")]),
        sex("male", external="The lips (labia oris) are abraded."),
        sex("male", internal="The tunica vaginalis is smooth; the vaginal process is closed."),
        sex("male", internal="The prostatic utricle (uterus masculinus) is small."),
        sex("female", external="The glans clitoridis shows a tear."),
    ],
)
def test_what_fits_the_sex_or_says_nothing_of_this_body_is_silent(asked: list[str]):
    assert asked == []


# Weights ----------------------------------------------------------------------------------------


def heavy(organ: str = "heart", *, outside: bool = True, seen_as: str = "") -> Weighed:
    return Weighed(organ, organ.capitalize(), 610, outside, seen_as)


def weights(one: Weighed, text: str = "", findings=()) -> list[str]:
    return [words for words, _ in conflicts.weights_unmentioned([one], findings, text)]


@pytest.mark.parametrize(
    "asked",
    [
        weights(heavy()),
        weights(heavy("liver"), "The heart is enlarged."),
        weights(heavy("spleen"), "The spleen is unremarkable."),
        weights(heavy("left lung"), "The airways are clear."),
        weights(heavy("brain", seen_as="Unremarkable"), ""),
        weights(heavy(seen_as="Smooth surface"), "Heart: valves thin."),
        weights(heavy(), "The liver is heavy. The heart is free."),
    ],
)
def test_a_weight_outside_its_range_that_no_words_mention_is_asked_about(asked: list[str]):
    assert len(asked) == 1
    assert "610 g is outside its reference range, and no words mention it" in asked[0]


@pytest.mark.parametrize(
    "asked",
    [
        weights(heavy(outside=False)),
        weights(heavy(seen_as="Enlarged, rounded")),
        weights(heavy(), "The heart is hypertrophied."),
        weights(heavy(), "Marked cardiomegaly."),
        weights(heavy("left lung"), "The lungs are edematous and congested."),
        weights(heavy("left lung"), "Pulmonary edema."),
        weights(heavy("liver"), "Hepatic steatosis, severe."),
        weights(heavy("right kidney"), "The kidneys are granular and small."),
        weights(heavy("brain"), findings=[Seen(1, "Edema", place="Brain")]),
        weights(heavy("spleen"), "The spleen weighs much."),
        weights(heavy("lungs combined"), "Both lungs are heavy."),
        weights(heavy("heart"), findings=[Seen(1, "Left ventricular hypertrophy")]),
        weights(heavy("heart"), "The left ventricle is thickened."),
        weights(heavy("brain"), "The gyri are flattened and the sulci narrowed."),
        weights(heavy("spleen"), "The spleen is soft."),
        weights(heavy("left lung"), "The lungs exude frothy liquid."),
        weights(heavy("liver"), "The hepatic capsule is tense and its edge rounded."),
    ],
)
def test_a_weight_that_fits_or_is_mentioned_is_silent(asked: list[str]):
    assert asked == []


@pytest.mark.parametrize(
    ("organ", "called"),
    [
        ("heart", "Cardiac enlargement"), ("heart", "The left ventricle is dilated"),
        ("heart", "The myocardium is hypertrophied"), ("brain", "Cerebral edema"),
        ("left lung", "Pulmonary congestion"), ("liver", "Hepatic steatosis"),
        ("spleen", "Splenic congestion"), ("left kidney", "Renal atrophy"),
        ("right kidney", "Nephrosclerosis with scarring"), ("thyroid", "A nodular goiter"),
    ],
)  # fmt: skip
def test_an_organ_is_mentioned_by_its_other_name(organ: str, called: str):
    assert weights(heavy(organ), f"{called}.") == []
    assert len(weights(heavy(organ), "Enlarged lymph nodes.")) == 1


# Times ------------------------------------------------------------------------------------------

NOON = datetime(2026, 11, 14, 12, tzinfo=UTC)
HOUR = timedelta(hours=1)


def times(**at: datetime | When | None) -> list[str]:
    names = Times.__dataclass_fields__
    made = {}
    for name in names:
        given = at.get(name)
        made[name] = given if isinstance(given, When) else When(name, "page", given)
    return [f"{one.later.name} < {one.earlier.name}" for one in order.out_of_order(Times(**made))]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"last_alive": NOON, "found": NOON - HOUR}, "found < last_alive"),
        ({"last_alive": NOON, "pronounced": NOON - HOUR}, "pronounced < last_alive"),
        ({"last_alive": NOON, "rigor_seen": NOON - HOUR}, "rigor_seen < last_alive"),
        ({"last_alive": NOON, "lividity_seen": NOON - HOUR}, "lividity_seen < last_alive"),
        ({"found": NOON, "body_received": NOON - HOUR}, "body_received < found"),
        ({"found": NOON, "scene_reached": NOON - HOUR}, "scene_reached < found"),
        ({"pronounced": NOON, "body_received": NOON - HOUR}, "body_received < pronounced"),
        ({"body_received": NOON, "examination_began": NOON - HOUR},
         "examination_began < body_received"),
        ({"found": NOON, "examination_began": NOON - HOUR}, "examination_began < found"),
        ({"found": NOON, "first_specimen": NOON - HOUR}, "first_specimen < found"),
        ({"death": NOON, "rigor_seen": NOON - HOUR}, "rigor_seen < death"),
        ({"death": NOON, "examination_began": NOON - HOUR}, "examination_began < death"),
        ({"death": NOON, "pronounced": NOON - HOUR}, "pronounced < death"),
        ({"last_alive": NOON, "body_received": NOON - HOUR}, "body_received < last_alive"),
        ({"found": NOON, "body_received": NOON - timedelta(minutes=11)}, "body_received < found"),
    ],
)  # fmt: skip
def test_times_the_wrong_way_round_are_asked_about(given, said):
    assert times(**given) == [said]


@pytest.mark.parametrize(
    "given",
    [
        {},
        {"last_alive": NOON, "found": NOON},
        {"last_alive": NOON, "found": NOON + HOUR, "pronounced": NOON + 2 * HOUR},
        # Found alive, pronounced later.
        {"found": NOON, "last_alive": NOON + HOUR, "pronounced": NOON + 2 * HOUR},
        {"found": NOON, "body_received": NOON - timedelta(minutes=10)},
        {"last_alive": uncertain("a", "p", "about", NOON, None), "found": NOON - HOUR / 2},
        {"last_alive": uncertain("a", "p", "unknown", NOON, None), "found": NOON - HOUR},
        {"last_alive": uncertain("a", "p", "between", NOON - 2 * HOUR, NOON), "found": NOON - HOUR},
        {"found": uncertain("a", "p", "between", NOON - HOUR, NOON), "body_received": NOON - HOUR},
        {"found": uncertain("a", "p", "about", None, None), "body_received": NOON},
        {"death": NOON, "found": NOON - HOUR},
        {"pronounced": NOON, "scene_reached": NOON - HOUR},
        {"rigor_seen": NOON, "found": NOON},
    ],
)
def test_times_that_may_be_so_are_silent(given):
    assert times(**given) == []


def test_the_sentence_names_both_times():
    found = When("the time found", "p", NOON)
    (late,) = order.out_of_order(
        Times(*[When("", "") for _ in range(1)], found, *[When("", "") for _ in range(4)],
              When("the receipt of the body", "p", NOON - HOUR), When("", ""), When("", ""),
              When("", ""))
    )  # fmt: skip
    assert late.words == "The receipt of the body is recorded before the time found."


# Manner -----------------------------------------------------------------------------------------

SHOT = Seen(2, "Gunshot wound of entrance", cause="firearm")
STAB = Seen(3, "Stab wound", cause="sharp force")
CUT = Seen(4, "Incised wound", cause="sharp force", depth_mm=19)


def natural(*findings: Seen, manner: str = "natural") -> list[str]:
    return [words for words, _ in conflicts.natural_with_violence(manner, findings)]


@pytest.mark.parametrize(
    "asked",
    [
        natural(SHOT),
        natural(STAB),
        natural(Seen(4, "Incised wound", cause="sharp force", depth_mm=20)),
        natural(Seen(4, "Incised wound", cause="sharp force", traced=True)),
        natural(Seen(5, "Ligature furrow")),
        natural(Seen(6, "Chop wound", cause="sharp force")),
        natural(Seen(7, "Gunshot wound", cause="firearm", timing="antemortem")),
    ],
)
def test_a_violent_injury_beside_a_natural_manner_is_asked_about(asked: list[str]):
    assert len(asked) == 1


@pytest.mark.parametrize(
    "asked",
    [
        natural(),
        natural(SHOT, manner="homicide"),
        natural(STAB, manner="pending"),
        natural(STAB, manner=""),
        natural(CUT),
        natural(Seen(1, "Contusion", cause="blunt force")),
        natural(Seen(1, "Gunshot wound", cause="firearm", timing="healed")),
        natural(Seen(1, "Stab wound", cause="sharp force", timing="postmortem")),
        natural(Seen(1, "Surgical incision", klass="medical intervention", cause="sharp force")),
        natural(Seen(1, "Scar of a gunshot wound", klass="identifying feature", cause="firearm")),
        natural(Seen(1, "Abrasion"), Seen(2, "Laceration", cause="blunt force")),
    ],
)
def test_what_a_natural_death_may_have_is_silent(asked: list[str]):
    assert asked == []


def ground(
    manner: str = "homicide", *findings: Seen, words: str = "", finished: bool = True
) -> str:
    return conflicts.homicide_without_ground(
        manner, finished=finished, findings=findings, words=words
    )


@pytest.mark.parametrize(
    "asked",
    [
        ground(),
        ground("suicide"),
        ground(words="Coronary artery disease"),
        ground("homicide", Seen(1, "Scar", klass="identifying feature")),
        ground("homicide", Seen(1, "Tube", klass="medical intervention"), words="Pneumonia"),
        ground("suicide", words="Pulmonary embolism. He died of it."),
    ],
)
def test_a_homicide_without_any_ground_is_asked_about(asked: str):
    assert "neither an injury nor another ground" in asked


@pytest.mark.parametrize(
    "asked",
    [
        ground("natural"),
        ground("accident"),
        ground("pending"),
        ground("homicide", finished=False),
        ground("homicide", Seen(1, "Contusion")),
        ground(words="Smothering"),
        ground(words="Fentanyl toxicity"),
        ground(words="Drowning"),
        ground("suicide", words="Carbon monoxide poisoning"),
        ground(words="Starvation and neglect"),
        ground(words="Homicidal violence of undetermined kind"),
        ground(words="The compression left no injury."),
        ground("suicide", words="Ingestion of sodium nitrite"),
        ground("suicide", words="Helium inhalation"),
        ground("suicide", words="Nitrogen hypoxia"),
        ground("suicide", words="He jumped from the bridge."),
        ground("suicide", words="Refusal of food and drink"),
        ground(words="Delayed complications of injuries in 1998"),
        ground(words="Fentanyl that another administered"),
    ],
)
def test_a_homicide_with_a_ground_or_not_examined_is_silent(asked: str):
    assert asked == ""


# Cause ------------------------------------------------------------------------------------------


def cause(line: str, *findings: Seen, written: str = "", finished: bool = True) -> list[str]:
    said = conflicts.cause_without_finding(
        [line], finished=finished, findings=findings, written=written
    )
    return [words for words, _ in said]


@pytest.mark.parametrize(
    "asked",
    [
        cause("Gunshot wound of the chest"),
        cause("Gunshot wound of the chest", Seen(1, "Contusion", cause="blunt force")),
        cause("Stab wound of the neck", Seen(1, "Abrasion")),
        cause("Fracture of the left hip", Seen(1, "Contusion"), written="The pelvis is intact."),
        cause("Thermal injuries", Seen(1, "Abrasion")),
        cause("Blunt force injuries of the head", written="The brain is pale."),
        cause("Hanging", Seen(1, "Scar", klass="identifying feature")),
        cause("Subdural hematoma", written="The heart is enlarged."),
    ],
)
def test_a_cause_that_nothing_bears_out_is_asked_about(asked: list[str]):
    assert len(asked) == 1
    assert asked[0].startswith("Part I names ")


@pytest.mark.parametrize(
    "asked",
    [
        cause("Gunshot wound of the chest", SHOT),
        cause("Gunshot wound of the chest", finished=False),
        cause("Complications of a remote gunshot wound"),
        cause("Gunshot wound of the chest", written="A bullet track through the left lung."),
        cause("Stab wound of the neck", STAB),
        cause("Sharp force injuries", CUT),
        cause("Fracture of the left hip", written="The left femur is broken at its neck."),
        cause("Pathologic fracture of the spine"),
        cause("Burns", Seen(1, "Blister", cause="other")),
        cause("Blunt force injuries of the head", Seen(1, "Laceration", cause="blunt force")),
        cause("Hanging", Seen(1, "Ligature furrow", place="Neck")),
        cause("Hanging", written="The structures of the neck are intact."),
        cause("Atherosclerotic heart disease"),
        cause("Subdural hematoma", Seen(1, "Subdural hemorrhage", klass="natural disease")),
        cause("Pending investigation of a gunshot wound"),
    ],
)
def test_a_cause_that_is_borne_out_or_old_is_silent(asked: list[str]):
    assert asked == []


# Counts -----------------------------------------------------------------------------------------

TWO_SHOTS = {"gunshot": Recorded({2, 3}), "stab": Recorded({5})}


def count(text: str, recorded=TWO_SHOTS) -> list[str]:
    return [words for words, _ in conflicts.counts_apart("Opinion", text, recorded)]


@pytest.mark.parametrize(
    "text",
    [
        "He had four gunshot wounds.",
        "There are three stab wounds.",
        "Six stab wounds of the chest were found.",
        "She died of one gunshot wound.",
        "Death was caused by seven stab wounds.",
        "A single stab wound was seen.",
        "He died of 12 stab wounds.",
    ],
)
def test_another_number_of_wounds_in_words_is_asked_about(text: str):
    (said,) = count(text)
    assert said.startswith("Opinion says “")
    assert said.endswith("recorded on the chart.")


@pytest.mark.parametrize(
    ("text", "recorded"),
    [
        ("He had two gunshot wounds.", TWO_SHOTS),
        ("He had three gunshot wounds.", TWO_SHOTS),
        ("There are five stab wounds.", TWO_SHOTS),
        ("Three stab wounds of the chest were found.", TWO_SHOTS),
        ("Two of the stab wounds are deep.", TWO_SHOTS),
        ("One other stab wound is superficial.", TWO_SHOTS),
        ("No more than one stab wound.", TWO_SHOTS),
        ("He had a history of two stab wounds.", TWO_SHOTS),
        ("A witness said there were nine stab wounds.", TWO_SHOTS),
        ("His brother died of four gunshot wounds.", TWO_SHOTS),
        ("“Nine stab wounds” was printed in the paper.", TWO_SHOTS),
        ("At least three stab wounds are seen.", TWO_SHOTS),
        ("There are nine stab wounds.", {"stab": Recorded({5}, open=True)}),
        ("There are nine stab wounds.", {}),
        ("Multiple stab wounds.", TWO_SHOTS),
        ("A 3 cm stab wound of the chest.", TWO_SHOTS),
        ("Stab wound 3 passes through the lung.", TWO_SHOTS),
        ("He may have had four gunshot wounds.", TWO_SHOTS),
        ("Only one gunshot wound was lethal.", TWO_SHOTS),
        ("Three stab wounds are grouped.", {"stab": Recorded({5})}),
    ],
)
def test_a_number_that_fits_or_counts_a_part_is_silent(text: str, recorded):
    assert count(text, recorded) == []


# Specimens --------------------------------------------------------------------------------------


def taken(text: str, *listed: str) -> list[str]:
    return [words for words, _ in conflicts.taken_in_words("The examination", text, listed)]


@pytest.mark.parametrize(
    ("text", "listed"),
    [
        ("Femoral blood was taken for toxicology.", ()),
        ("Urine was collected.", ("Blood",)),
        ("Vitreous humor was obtained from both eyes.", ("Blood", "Urine")),
        ("Oral swabs were taken.", ("Blood",)),
        ("Fingernail clippings were retained.", ("Hair",)),
        ("Pieces of the liver were submitted for histology.", ("Blood",)),
        ("Gastric contents are saved.", ("Blood",)),
        ("Bile has been collected.", ("Urine",)),
    ],
)
def test_what_words_say_was_taken_and_no_list_has_is_asked_about(text: str, listed):
    assert len(taken(text, *listed)) == 1


@pytest.mark.parametrize(
    ("text", "listed"),
    [
        ("No specimens were taken.", ()),
        ("Blood was taken for toxicology.", ("Femoral blood",)),
        ("Blood was not taken.", ()),
        ("Blood is collected in the left chest cavity.", ()),
        ("800 mL of blood were taken from the chest.", ()),
        ("Urine was collected by the hospital.", ()),
        ("The ambulance crew said that blood was drawn.", ()),
        ("Swabs will be taken.", ()),
        ("If urine was obtained, it is with the laboratory.", ()),
        ("The bladder is empty; urine is absent.", ()),
        ("“Blood was taken” is written on the form.", ()),
        ("The stomach was taken out.", ()),
        ("His sister’s blood was taken as a reference, his sister agreed.", ()),
        ("Vitreous was taken.", ("Right eye, fluid",)),
        ("Pieces of the brain were retained.", ("Cassette A1, cortex",)),
        ("Gastric contents were drawn into the airways.", ()),
        ("Blood is drawn into the lower lobes.", ()),
        ("Hair was taken into the wound.", ()),
        ("The bladder is distended; urine was retained.", ()),
        ("The urine bag was taken with the body.", ()),
    ],
)
def test_what_was_not_taken_or_is_listed_is_silent(text: str, listed):
    assert taken(text, *listed) == []
