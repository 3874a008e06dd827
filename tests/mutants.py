"""Change the pure modules one place at a time and see whether a test notices: `make mutants`.

`python -m tests.mutants [NAME ...]` runs mutmut over the modules of `HELD_BY`, or over those whose
dotted names begin with a NAME, one after the other, each with the tests that hold it, and prints
the share noticed by module and the names of the survivors. Every survivor has to be noticed by a
new test or to stand in `EQUIVALENT` with its reason. Needs no server: what is mutated knows no
database. MUTANTS_AT_ONCE is how many changes are tried at once; otherwise one a core.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
WANTED = 0.95
AT_ONCE = "MUTANTS_AT_ONCE"
# Settings that are read and never reached.
NOWHERE = {
    "DATABASE_URL": "postgresql://nobody@127.0.0.1:1/none",
    "REDIS_URL": "redis://127.0.0.1:1/0",
    "DJANGO_SETTINGS_MODULE": "me_office.settings",
    "ME_TESTING": "1",
    "ME_SECRET_KEY": "changed one place at a time, and seen by a test every time",
}
# Which tests hold a module: a change of it is tried against these alone, so each costs little.
HELD_BY: dict[str, tuple[str, ...]] = {
    "cases.certification.causes": (
        "tests/certification/test_causes.py",
        "tests/certification/test_cautions.py",
    ),
    "cases.certification.items": (
        "tests/certification/test_cautions.py",
        "tests/certification/test_items.py",
    ),
    "cases.certification.rules": (
        "tests/certification/test_cause_and_manner.py",
        "tests/certification/test_items.py",
    ),
    "cases.court.rules": ("tests/court/test_rules.py",),
    "cases.decedent_rules": ("tests/cases/test_decedent_rules.py",),
    "cases.exhibits.rules": ("tests/exhibits/test_rules.py",),
    "cases.intake_rules": ("tests/cases/test_states.py", "tests/cases/test_as_read.py"),
    "cases.lividity_rules": ("tests/cases/test_lividity_rules.py", "tests/findings/test_rules.py"),
    "cases.packets.going_out": ("tests/packets/test_what_goes_out.py",),
    "cases.packets.rules": ("tests/packets/test_rules.py", "tests/packets/test_going_out.py"),
    "cases.places_rules": ("tests/cases/test_places_rules.py",),
    "cases.remains.rules": ("tests/remains/test_rules.py",),
    "cases.review.rules": ("tests/cases/test_states.py", "tests/review/test_authorship.py"),
    "cases.rules": ("tests/cases/test_access_table.py", "tests/cases/test_states.py"),
    "cases.scene_rules": (
        "tests/cases/test_scene_rules.py",
        "tests/review/test_scene_printed.py",
    ),
    "cases.search_rules": ("tests/cases/test_search_rules.py",),
    "evidence.bare": ("tests/evidence/test_bare.py", "tests/evidence/test_bare_segments.py"),
    "evidence.custody.rules": ("tests/custody/test_rules.py",),
    "evidence.fixity.rules": ("tests/evidence/test_fixity_rules.py",),
    "evidence.measuring.copy_rules": ("tests/measuring/test_copy_rules.py",),
    "evidence.measuring.rules": ("tests/measuring/test_rules.py",),
    "evidence.receivers": (
        "tests/results/test_result_rules.py",
        "tests/results/test_result_words.py",
    ),
    "evidence.results.rules": ("tests/results/test_result_rules.py",),
    "evidence.rules": (
        "tests/evidence/test_rules.py",
        "tests/evidence/test_log_rules.py",
        "tests/evidence/test_log_words.py",
    ),
    "evidence.site_rules": ("tests/evidence/test_sites_by_sex.py",),
    "evidence.uploads.rules": ("tests/evidence/test_upload_rules.py",),
    "findings.body.midline": ("tests/body/test_midline.py",),
    "findings.calculations.arrays": ("tests/calculations/test_plane_rows.py",),
    "findings.calculations.answers": ("tests/calculations/test_frame.py",),
    "findings.calculations.body_chart": ("tests/calculations/test_body_chart.py",),
    "findings.calculations.body_size": ("tests/calculations/test_body_size_and_burns.py",),
    "findings.calculations.body_surface": ("tests/calculations/test_body_size_and_burns.py",),
    "findings.calculations.burn_area": ("tests/calculations/test_burn_area_rows.py",),
    "findings.calculations.burn_tables": ("tests/calculations/test_body_size_and_burns.py",),
    "findings.calculations.cooling": (
        "tests/calculations/test_cooling_rows.py",
        "tests/calculations/test_cooling.py",
    ),
    "findings.calculations.cooling_forward": ("tests/calculations/test_cooling_rows.py",),
    "findings.calculations.deadline": (
        "tests/calculations/test_deadline.py",
        "tests/calculations/test_deadline_rows.py",
    ),
    "findings.calculations.federal_holidays": ("tests/calculations/test_federal_holidays.py",),
    "findings.calculations.fields": ("tests/calculations/test_fields.py",),
    "findings.calculations.growth": ("tests/calculations/test_body_size_and_burns.py",),
    "findings.calculations.hash_and_merkle": ("tests/calculations/test_tree_rows.py",),
    "findings.calculations.heart_for_body_weight": ("tests/calculations/test_whole_answers.py",),
    "findings.calculations.impact_minimum": ("tests/calculations/test_whole_answers.py",),
    "findings.calculations.lividity_check": ("tests/calculations/test_whole_answers.py",),
    "findings.calculations.method": ("tests/calculations/test_frame.py",),
    "findings.calculations.organ_weights": ("tests/calculations/test_whole_answers.py",),
    "findings.calculations.photo_assumptions": ("tests/calculations/test_photo_parts.py",),
    "findings.calculations.photo_corner": ("tests/calculations/test_photo_parts.py",),
    "findings.calculations.photo_kinds": ("tests/calculations/test_photo_parts.py",),
    "findings.calculations.photo_measure": ("tests/calculations/test_straight_rows.py",),
    "findings.calculations.photo_measurement": (
        "tests/calculations/test_photo_measurement_rows.py",
        "tests/calculations/test_straight_scale_rows.py",
    ),
    "findings.calculations.photo_plane": ("tests/calculations/test_photo_plane_rows.py",),
    "findings.calculations.photo_scales": ("tests/calculations/test_photo_parts.py",),
    "findings.calculations.plane_geometry": ("tests/calculations/test_plane_rows.py",),
    "findings.calculations.plots": ("tests/calculations/test_plot_rows.py",),
    "findings.calculations.pmi_rectal": ("tests/calculations/test_cooling_rows.py",),
    "findings.calculations.registry": ("tests/calculations/test_frame.py",),
    "findings.calculations.result": ("tests/calculations/test_frame.py",),
    "findings.calculations.straight_scale": ("tests/calculations/test_straight_scale_rows.py",),
    "findings.calculations.time_since_death": (
        "tests/calculations/test_time_since_death.py",
        "tests/calculations/test_time_line.py",
    ),
    "findings.calculations.vitreous_potassium": ("tests/calculations/test_whole_answers.py",),
    "findings.calculations.wound_path": ("tests/calculations/test_wound_path_rows.py",),
    "findings.computing.rules": ("tests/computing/test_rules.py",),
    "findings.contradicting": (
        "tests/findings/test_negatives.py",
        "tests/findings/test_contradicting.py",
    ),
    "findings.counting": (
        "tests/findings/test_counting.py",
        "tests/findings/test_counting_properties.py",
    ),
    "findings.layers": ("tests/findings/test_rules.py", "tests/findings/test_negatives.py"),
    "findings.negatives": ("tests/findings/test_negatives.py",),
    "findings.rules": (
        "tests/findings/test_rules.py",
        "tests/findings/test_mark_rules.py",
    ),
    "findings.sides": ("tests/findings/test_mark_rules.py",),
    "findings.probes": ("tests/findings/test_probe_hole.py",),
    "findings.sites": ("tests/findings/test_sites.py",),
    "findings.wounds": ("tests/findings/test_wound_words.py",),
    "me_office.accounts.rules": ("tests/accounts/test_rules.py",),
    "me_office.jobs.rules": ("tests/jobs/test_rules.py",),
    "me_office.units": ("tests/cases/test_units.py",),
}
# Survivors that change nothing anybody could see: the change's name and why. Counted as noticed.
# A name that no longer exists, or is noticed after all, fails the run.
CASELESS = "the pattern is matched in letters of either case"
ALIKE = "all come from one array of times and are equally long"
EXACTLY = "no number reckoned lies on the limit to its last digit"
NEGATIVE = "any negative number asks for as many rows as there are"
PAIRED = "both tables have the same quantities"
NO_CODE = "neither is the code of an error"
FALSY = "None and False both say no"
FIXED = "the zone of the machine comes as a fixed offset, so hours are elapsed ones"
TEN = "the first ten letters of ten or fewer are all of them"
BOTH_ENDS = "a stay has both moments or none"
SAME_LENGTH = "both are made equally long"
OTHER_KINDS = "what is no JPEG is turned away one step later"
SMALL = "small numbers are the same bytes with a sign and without"
NO_LINE = "an absent line and an empty one are the same"
EQUIVALENT: dict[str, str] = {
    "cases.certification.causes.x_abbreviations_in__mutmut_8": "all abbreviations are in capitals",
    "cases.certification.causes.x_names_injury__mutmut_7": "XX stands apart and names no injury",
    "cases.certification.items.x_has_injury__mutmut_10": "XXXX names no injury",
    "cases.certification.items.x_other_items_left__mutmut_1": "XXXX is no sex that is asked about",
    "cases.certification.items.x_transport_is_asked__mutmut_9": "XXXX names no vehicle",
    "cases.certification.items.x_wrong_in_items__mutmut_1": "XXXX is no sex that is asked about",
    "cases.certification.rules.x_lines_of__mutmut_5": NO_LINE,
    "cases.certification.rules.x_lines_of__mutmut_7": NO_LINE,
    "cases.certification.rules.x_lines_of__mutmut_10": "no line of an entry is lettered X",
    "cases.certification.rules.x_manner_words__mutmut_6": "no manner is called XXXX",
    "cases.lividity_rules.x_examination_question__mutmut_1": "any other word says not tested too",
    "cases.lividity_rules.x_sides_named__mutmut_20": "XXXX is no word of the trunk",
    "findings.calculations.answers.x__text__mutmut_2": FALSY,
    "findings.calculations.body_chart.x__asked__mutmut_9": NO_CODE,
    "findings.calculations.body_chart.x__asked__mutmut_15": NO_CODE,
    "findings.calculations.burn_area.x__column_and_years__mutmut_11": "-2 is no age either",
    "findings.calculations.burn_area.x__by_chart__mutmut_19": "adult is read in either case",
    "findings.calculations.cooling.x_hours_for_quotient__mutmut_26": EXACTLY,
    "findings.calculations.cooling.x_hours_since_death__mutmut_32": "Q has no value at 37.2 there",
    "findings.calculations.cooling.x_hours_since_death__mutmut_33": EXACTLY,
    "findings.calculations.cooling_forward.x_compute__mutmut_96": ALIKE,
    "findings.calculations.cooling_forward.x_compute__mutmut_101": ALIKE,
    "findings.calculations.cooling_forward.x_compute__mutmut_102": ALIKE,
    "findings.calculations.deadline.xǁCalendarǁclosed_because__mutmut_8": "the day itself is out",
    "findings.calculations.deadline.x__trigger_day__mutmut_7": TEN,
    "findings.calculations.deadline.x__trigger_day__mutmut_10": TEN,
    "findings.calculations.deadline.x_last_hour__mutmut_13": FIXED,
    "findings.calculations.deadline.x_last_hour__mutmut_34": FIXED,
    "findings.calculations.deadline.x__zoned_trigger__mutmut_58": FIXED,
    "findings.calculations.deadline.x__zoned_trigger__mutmut_33": "there is a T in it all the same",
    "findings.calculations.hash_and_merkle.x_consistency_proof__mutmut_17": FALSY,
    "findings.calculations.hash_and_merkle.x__inclusion__mutmut_88": "both digest no leaf",
    "findings.calculations.impact_minimum.x__links__mutmut_21": "a mark is in its own group",
    "findings.calculations.photo_corner.x_find_corner__mutmut_21": EXACTLY,
    "findings.calculations.photo_corner.x_find_corner__mutmut_22": EXACTLY,
    "findings.calculations.photo_corner.x__solved__mutmut_76": EXACTLY,
    "findings.calculations.photo_measurement.x_measure__mutmut_50": EXACTLY,
    "findings.calculations.photo_measurement.x__by_straight__mutmut_35": PAIRED,
    "findings.calculations.photo_measurement.x__by_straight__mutmut_38": PAIRED,
    "findings.calculations.photo_measurement.x__by_straight__mutmut_46": PAIRED,
    "findings.calculations.photo_measurement.x__by_straight__mutmut_101": "neither is to be said",
    "findings.calculations.photo_measurement.x__place_by_straight__mutmut_8": EXACTLY,
    "findings.calculations.photo_measurement.x__place_by_straight__mutmut_14": EXACTLY,
    "findings.calculations.photo_measurement.x__place__mutmut_36": EXACTLY,
    "findings.calculations.photo_measurement.x__place__mutmut_39": EXACTLY,
    "findings.calculations.photo_measurement.x__residual__mutmut_47": "neither widens nor is said",
    "findings.calculations.photo_measurement.x__residual__mutmut_48": EXACTLY,
    "findings.calculations.photo_measurement.x__cautions__mutmut_7": EXACTLY,
    "findings.calculations.photo_measurement.x__cautions__mutmut_21": EXACTLY,
    "findings.calculations.photo_measurement.x__cautions__mutmut_31": "halves are floats",
    "findings.calculations.photo_measurement.x__cautions__mutmut_33": "halves are floats",
    "findings.calculations.photo_measurement.x__cautions__mutmut_39": EXACTLY,
    "findings.calculations.photo_measurement.xǁ_Spreadǁof_points__mutmut_11": NEGATIVE,
    "findings.calculations.photo_measurement.xǁ_Spreadǁof_scale__mutmut_13": NEGATIVE,
    "findings.calculations.photo_measurement.xǁ_Spreadǁ_placed__mutmut_22": NEGATIVE,
    "findings.calculations.photo_measurement.x__quantities__mutmut_32": "it is replaced at once",
    "findings.calculations.photo_plane.x__planar_warnings__mutmut_37": EXACTLY,
    "findings.calculations.photo_plane.x__planar_warnings__mutmut_75": EXACTLY,
    "findings.calculations.photo_plane.x_pairs__mutmut_6": NEGATIVE,
    "findings.calculations.plane_geometry.x_polygon_area__mutmut_3": "any corner does as well",
    "findings.calculations.plane_geometry.x_crosses_itself__mutmut_8": "the same sides",
    "findings.calculations.plane_geometry.x_in_line__mutmut_3": FALSY,
    "findings.calculations.pmi_rectal.x__cannot_cool__mutmut_9": EXACTLY,
    "findings.calculations.pmi_rectal.x__one_ambient__mutmut_109": EXACTLY,
    "findings.calculations.straight_scale.x_areas__mutmut_15": "round the other way is as large",
    "findings.calculations.straight_scale.x_limits__mutmut_28": EXACTLY,
    "findings.calculations.time_since_death.x__back__mutmut_6": FIXED,
    "findings.calculations.vitreous_potassium.x__urea_mg_dl__mutmut_24": "both are no retention",
    "findings.calculations.vitreous_potassium.x_compute__mutmut_74": "both ends or neither",
    "findings.calculations.wound_path.x_direction_words__mutmut_8": "0 is under the threshold",
    "cases.places_rules.x__overlap__mutmut_7": BOTH_ENDS,
    "cases.places_rules.x__overlap__mutmut_8": BOTH_ENDS,
    "cases.places_rules.x__overlap__mutmut_9": BOTH_ENDS,
    "cases.places_rules.x__apart__mutmut_6": "both names are joined the same way",
    "cases.exhibits.rules.x_place_for__mutmut_28": "half way is never the upper neighbor",
    "evidence.rules.x__area__mutmut_4": SAME_LENGTH,
    "evidence.rules.x__area__mutmut_7": SAME_LENGTH,
    "evidence.rules.x__area__mutmut_10": SAME_LENGTH,
    "findings.wounds.x__ends__mutmut_8": SAME_LENGTH,
    "findings.wounds.x__ends__mutmut_11": SAME_LENGTH,
    "findings.wounds.x__ends__mutmut_12": SAME_LENGTH,
    "evidence.rules.xǁ_Besideǁ__init____mutmut_8": "only the keys are looked at",
    "cases.decedent_rules.x_changed_words__mutmut_7": "XXXX is no word of a changed body",
    "evidence.bare.x_bare_copy__mutmut_24": "names of formats are read in letters of either case",
    "evidence.bare.x_without_notes__mutmut_38": "None and nothing are left out alike",
    "evidence.bare.x__same_data__mutmut_2": OTHER_KINDS,
    "evidence.bare.x__same_data__mutmut_4": OTHER_KINDS,
    "evidence.bare.x__same_data__mutmut_27": "what was written just before is a JPEG",
    "evidence.bare.x__same_data__mutmut_29": "what was written just before is a JPEG",
    "evidence.bare.x__same_data__mutmut_32": "names of formats are read in letters of either case",
    "evidence.bare.x__end_of_scan__mutmut_10": "a scan never begins with the file",
    "evidence.bare.x__end_of_scan__mutmut_11": "a scan never begins with the file",
    "evidence.bare.x__orientation_segment__mutmut_19": SMALL,
    "evidence.bare.x__orientation_segment__mutmut_39": SMALL,
    "findings.wounds.x__ring__mutmut_27": "it stands there once",
    "findings.wounds.x__ring__mutmut_33": "it stands there once",
    "cases.review.rules.x_digest_of__mutmut_5": "None leaves letters as they are too",
    "cases.scene_rules.x__timed__mutmut_4": "all names of one sign begin alike",
    "findings.body.midline.x__row__mutmut_12": "each letter of xyz stands there once",
    "findings.body.midline.x_side_of__mutmut_9": "so near the midline it is neither side",
    "findings.body.midline.x_side_of__mutmut_10": "so near the midline it is neither side",
    "findings.sides.x_side_question__mutmut_19": "the midline itself is within the tolerance",
    "findings.computing.rules.x_sentence__mutmut_2": "no complaint begins with a blank",
    "findings.computing.rules.x_sentence__mutmut_5": "only what stands before the first is taken",
    "findings.computing.rules.x_sentence__mutmut_8": "only what stands before the first is taken",
    "findings.contradicting.x__is_treatment__mutmut_11": CASELESS,
    "findings.contradicting.x__is_treatment__mutmut_12": CASELESS,
    "findings.counting.x__sum_of__mutmut_23": CASELESS,
    "findings.layers.x_next_layer__mutmut_1": "no region is called XXXX",
    "findings.sites.x_part_sites__mutmut_3": "no drawing has a table under None or XXXX",
    "findings.sites.x_part_sites__mutmut_7": "no drawing has a table under None or XXXX",
    "findings.negatives.x__read__mutmut_8": "names of codecs are read in letters of either case",
    "findings.negatives.x_stated_in__mutmut_9": "no statement is worded XXXX",
}
NOTICED = {1, 3, 36, 24, -24, 152, 255}  # a failing test, or one that never ends
# mutmut with a module's own tests in place of those that pyproject.toml names.
NARROWED = """
import sys
from mutmut.__main__ import cli
from mutmut.configuration import config
config().pytest_add_cli_args_test_selection[:] = sys.argv.pop().split()
cli()
"""


def main(names: list[str]) -> int:
    """Run and print; return 0 where every module reaches what is wanted."""
    asked = tuple(name.rstrip("*") for name in names) or ("",)
    missed = 0
    for module in (one for one in HELD_BY if one.startswith(asked)):
        codes = tried(module)
        left = [
            name for name, code in codes.items() if code not in NOTICED and name not in EQUIVALENT
        ]
        share = 1 - len(left) / max(len(codes), 1)
        missed += share < WANTED or not codes
        print(f"{share:7.1%}  {len(left):4} of {len(codes):4} left  {module}", flush=True)
        print("".join(f"         {name.rpartition('.')[2]}\n" for name in left), end="", flush=True)
        for name in stale_names(module, codes):
            missed += 1
            print(f"EQUIVALENT names {name}, which does not exist or is noticed by a test.")
    return int(missed > 0)


def tried(module: str) -> dict[str, int]:
    """Every change of one module and how its tests ended; nothing where they could not run.

    A run with other tests forgets the results of the run before, so they are read at once.
    """
    at_once = ["--max-children", os.environ[AT_ONCE]] if AT_ONCE in os.environ else []
    command = [sys.executable, "-c", NARROWED, "run", f"{module}.*", *at_once]
    ran = subprocess.run(
        [*command, " ".join(HELD_BY[module])],
        cwd=ROOT,
        env=os.environ | NOWHERE,
        capture_output=True,
        text=True,
    )
    if ran.returncode:
        print(ran.stdout[-4000:], ran.stderr[-2000:], f"{module}: mutmut ended with a fault.")
        return {}
    kept = ROOT / "mutants" / f"{module.replace('.', '/')}.py.meta"
    codes: dict[str, int] = json.loads(kept.read_text())["exit_code_by_key"]
    return codes


def stale_names(module: str, codes: dict[str, int]) -> list[str]:
    """The names of a module in EQUIVALENT that are no survivors."""
    of_it = [name for name in EQUIVALENT if name.rpartition(".")[0] == module]
    return [name for name in of_it if codes.get(name, 1) in NOTICED]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
