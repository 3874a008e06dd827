"""Every published value of `values.json`, run through the same door as the shell command.

Each case carries its provenance ('published', 'computed from the published formula', 'from
memory', 'common practice') and each topic its sources. Tolerances are the sources' rounding.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from findings.calculations import cooling
from findings.calculations.answers import OK, answer
from findings.calculations.burn_tables import LUND_BROWDER, RULE_OF_NINES
from findings.calculations.federal_holidays import holidays_of
from findings.calculations.hash_and_merkle import EIGHT_LEAVES_HEX, leaf_hash, root_of
from findings.calculations.lividity_check import REGIONS
from findings.calculations.organ_reference import ORGANS
from findings.calculations.organ_weights import placed
from findings.calculations.vitreous_potassium import LINES

VALUES = json.loads(Path(__file__).with_name("values.json").read_text(encoding="utf-8"))
CASES = [(topic, case) for topic, content in VALUES.items() for case in content["open"]]
# Sentences of a refusal or warning are our own: that there is one is the check.
OWN_WORDS = {"reason", "warning", "note", "report"}
# The hours that a person reads off the printed nomogram, to the whole hour.
READ_BY_EYE = {"reading_h": ("t_h", 0.5)}
# Printed decimals of results whose case names a tolerance for another field only.
PRINTED = {"bmi": 0.005, "Q": 0.00005, "B": 0.000001}


def tolerance_of(case: dict[str, Any], name: str, expected: Any) -> float:
    """The source's own rounding for one result field."""
    named = case["tolerance"]
    if name in PRINTED:
        return PRINTED[name] * 1.01
    if isinstance(named, dict):
        if name.startswith("area"):
            return named["area_percent"] / 100 * expected
        if name.endswith("_deg"):
            return named["deg"]
        return named.get("length_mm", named.get("cm", 0.05))
    return named if isinstance(named, int | float) else 0.005


def assert_equals(case: dict[str, Any], name: str, expected: Any, found: Any) -> None:
    """Equal within the tolerance, entry by entry."""
    if isinstance(expected, list):
        assert isinstance(found, list)
        assert len(found) == len(expected)
        for one, other in zip(expected, found, strict=True):
            assert_equals(case, name, one, other)
    elif isinstance(expected, int | float) and not isinstance(expected, bool):
        assert found == pytest.approx(expected, abs=tolerance_of(case, name, expected))
    else:
        assert found == expected


@pytest.mark.parametrize(
    ("topic", "case"),
    [
        pytest.param(topic, case, id=f"{case['id']}: {case['provenance'][:60]}")
        for topic, case in CASES
    ],
)
def test_a_published_case_comes_out_as_printed(topic: str, case: dict[str, Any]) -> None:
    status, text = answer(topic, json.dumps(case["input"]))
    found = json.loads(text)

    assert status == OK, found
    expected = case["expected"]
    if not isinstance(expected, dict):
        assert_equals(case, "", expected, found["value"])
        return
    for name, value in expected.items():
        if name in OWN_WORDS:
            assert found[name]
        elif (topic, name) == ("organ_weights", "observed"):
            # The method says the smallest and largest weight seen, without a verdict on a weight.
            assert placed(case["input"]["weight_g"], found["observed_g"]) == value
        elif name in READ_BY_EYE:
            ours, within = READ_BY_EYE[name]
            assert found[ours] == pytest.approx(value, abs=within)
        else:
            assert_equals(case, name, value, found[name])


def test_every_case_has_a_provenance_and_every_topic_a_source() -> None:
    for topic, case in CASES:
        assert case["provenance"], case["id"]
        assert VALUES[topic]["source"], topic


def test_a_case_with_a_reason_is_a_refusal_and_no_other() -> None:
    for topic, case in CASES:
        expected = case["expected"]
        _, text = answer(topic, json.dumps(case["input"]))
        is_refusal = isinstance(expected, dict) and bool(expected.keys() & {"reason", "report"})
        assert bool(json.loads(text)["reason"]) == is_refusal, case["id"]


def test_time_follows_the_corrective_factor_as_hubig_found() -> None:
    # Hubig M et al. Int J Legal Med 2011;125:437-444, abstract: between 50 and 150 kg the relative
    # change of the time is about equal to that of the factor. Figures computed.
    for row in VALUES["pmi_rectal"]["property_checks"][0]["computed"]:
        times = [
            float(cooling.hours_since_death(30.0, 20.0, row["mass_kg"], factor).hours)
            for factor in (1.0, 1.1)
        ]
        change = times[1] / times[0] - 1
        assert change == pytest.approx(
            row["relative_change_of_t_for_cf_plus_10_percent"], abs=0.00005
        )
        assert change == pytest.approx(0.1, abs=0.035)


def test_the_printed_hours_of_a_letter_need_a_possible_corrected_mass() -> None:
    # Letter on nomogram typesetting (abstract): ambient 24, rectal 33, 19 h 10 min by the equation;
    # mass and factor are not given. The corrected mass that gives it was computed.
    corrected = VALUES["pmi_rectal"]["property_checks"][1]["corrected_mass_kg_that_gives_it"]
    hours = float(cooling.hours_since_death(33.0, 24.0, corrected["second_branch"], 1.0).hours)
    assert hours == pytest.approx(19 + 10 / 60, abs=0.02)


def test_the_constants_of_the_cooling_model_are_those_computed() -> None:
    limit, constant = VALUES["pmi_rectal"]["property_checks"][2:4]
    assert pytest.approx(limit["value_kg"], abs=0.005) == cooling.LARGEST_CORRECTED_MASS_KG
    assert float(cooling.cooling_constant(70, 1)) == pytest.approx(constant["value"], abs=0.000005)


def test_the_vitreous_lines_carry_the_published_coefficients() -> None:
    for name, line in VALUES["vitreous_potassium"]["coefficients"].items():
        assert LINES[name].slope == line["slope"]
        assert -LINES[name].intercept == line["intercept"]
        assert ("memory" in LINES[name].provenance) == line["provenance"].startswith("from memory")


def test_the_organ_table_carries_the_published_figures() -> None:
    for sex, ours in (("men", "male"), ("women", "female")):
        for organ, row in VALUES["organ_weights"]["table"][sex].items():
            found = ORGANS[ours][organ]
            assert found.mean_g == row["mean_g"]
            assert found.sd_g == row["sd_g"]
            assert list(found.observed_g or (None, None)) == row["observed_g"]
            is_published = (row["reference95_provenance"] or "").startswith("published")
            assert (found.reference95_g is not None) == is_published


def test_the_burn_charts_carry_the_published_shares() -> None:
    # Lund and Browder 1944, age rows seen, fixed regions from memory; Wallace 1951.
    assert {age: dict(shares) for age, shares in LUND_BROWDER.items()} == VALUES["body_surface"][
        "lund_browder"
    ]
    assert dict(RULE_OF_NINES) == VALUES["body_surface"]["rule_of_nines"]


def test_federal_holidays_fall_on_the_listed_days() -> None:
    # 5 U.S.C. 6103 and Executive Order 11582, listed by the year in which they are observed.
    for year, listed in VALUES["deadlines"]["federal_holidays"].items():
        ours = {
            (one.name, one.actual.isoformat(), one.observed.isoformat())
            for near in (int(year), int(year) + 1)
            for one in holidays_of(near)
            if one.observed.year == int(year)
        }
        assert ours == {(one["name"], one["actual"], one["observed"]) for one in listed}


def test_the_roots_of_the_eight_leaves_are_the_public_ones() -> None:
    # Test data of open-source verifiable-log code, roots for sizes 0 to 8.
    topic = VALUES["hash_and_merkle"]
    assert list(EIGHT_LEAVES_HEX) == topic["leaves_hex"]
    hashes = [leaf_hash(bytes.fromhex(leaf)) for leaf in EIGHT_LEAVES_HEX]
    assert [root_of(hashes[:size]).hex() for size in range(9)] == topic["roots_by_size"]


def test_lividity_regions_are_those_of_the_list() -> None:
    for position, regions in VALUES["lividity_rigor"]["positions"].items():
        assert {kind: list(names) for kind, names in REGIONS[position].items()} == regions
