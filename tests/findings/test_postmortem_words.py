"""Lividity and rigor by region: every word of the report, and what is asked. No database."""

from __future__ import annotations

from itertools import permutations

import pytest

from cases.rules.lividity import SceneLividity, examination_question, spared_question
from findings.postmortem.lividity import lividity_caution
from findings.postmortem.wording import (
    LividRegion,
    distribution_cautions,
    lividity_words,
    rigor_words,
)

SUPINE = SceneLividity("supine")
FRONT = "front of the trunk"


def asked(*blanching: str) -> list[str]:
    """What is asked of a supine body with lividity of the front, each region tested so."""
    return distribution_cautions(SUPINE, [LividRegion(FRONT, "present", one) for one in blanching])


@pytest.mark.parametrize(
    ("tested", "counts"),
    [
        # Fixed anywhere comes first, then what blanches in part, then what blanches.
        (("fixed", "partly", "blanches", "not tested", ""), "fixed"),
        (("partly", "blanches", "not tested", ""), "partly"),
        (("blanches", "not tested", ""), "blanches"),
        (("not tested", ""), ""),
    ],
)
def test_the_region_where_lividity_is_most_fixed_counts(tested, counts):
    for order in permutations(tested):
        where = ", ".join([FRONT] * len(order))
        assert asked(*order) == [examination_question(SUPINE, where, counts)]
    known = {examination_question(SUPINE, FRONT, one) for one in ("fixed", "partly", "blanches")}
    assert len(known) == 3


def test_regions_are_asked_about_together():
    present = ["left side of the trunk", "back of the trunk"]
    spared = ["face", FRONT]
    rows = [LividRegion(one, "present", "fixed") for one in present]
    rows += [LividRegion(one, "spared by pressure", "fixed") for one in spared]
    rows.append(LividRegion("front of the trunk", "absent", "partly"))
    assert distribution_cautions(SUPINE, rows) == [
        said
        for said in (
            examination_question(SUPINE, ", ".join(present), "fixed"),
            spared_question("supine", ", ".join(spared)),
        )
        if said
    ]
    assert spared_question("supine", ", ".join(spared))


@pytest.mark.parametrize(
    ("blanching", "said"),
    [
        ("", ""),
        ("blanches", " (blanches on pressure)"),
        ("partly", " (blanches in part)"),
        ("fixed", " (fixed)"),
        ("not tested", " (blanching not tested)"),
    ],
)
def test_what_lividity_does_under_the_thumb(blanching, said):
    row = LividRegion("back", "present", blanching)
    assert lividity_words([row]) == f"Lividity is present on the back{said}."


@pytest.mark.parametrize(
    ("state", "said"),
    [
        ("spared by pressure", "It is spared by pressure on the"),
        ("absent", "It is absent on the"),
        ("cannot be judged", "It cannot be judged on the"),
    ],
)
def test_several_regions_of_a_state_are_said_in_their_order(state, said):
    rows = [
        LividRegion("face", state),
        LividRegion("back", "present", "", "Purple", "Faint"),
        LividRegion("neck", state, "", "", "Dressing in place"),
        LividRegion("legs", "present"),
        LividRegion("arms", state),
    ]
    assert lividity_words(rows) == (
        "Lividity is present on the back (purple, Faint); legs. "
        f"{said} face, neck (dressing in place), arms."
    )
    assert lividity_words(rows[::2]) == f"{said} face, neck (dressing in place), arms."
    assert lividity_words([]) == ""


def test_rigor_is_said_by_stage_with_its_notes():
    rows = [
        ("jaw", "complete", ""),
        ("left knee", "beginning", "Contracture"),
        ("neck", "complete", "Broken at the scene"),
        ("right knee", "beginning", ""),
    ]
    assert rigor_words(rows) == (
        "Rigor is complete in the jaw, neck (broken at the scene); "
        "beginning in the left knee (contracture), right knee."
    )
    assert rigor_words([]) == ""


@pytest.mark.parametrize(
    ("seen_as", "tested"),
    [
        ("Purple, fixed", "fixed"),
        ("Purple, not fixed", "blanches"),
        ("Purple, unfixed", "blanches"),
        ("Purple, blanches", "blanches"),
        ("Fixed, blanches in part", "partly"),
        ("Partly blanching", "partly"),
        ("Blanches partially", "partly"),
        ("Purple", ""),
        ("Prefixed", ""),
        ("Could not be judged", "cannot be judged"),
        ("Can't be judged, not fixed", "cannot be judged"),
    ],
)
def test_free_words_say_what_lividity_does_under_the_thumb(seen_as, tested):
    assert lividity_caution(SUPINE, FRONT, seen_as) == examination_question(SUPINE, FRONT, tested)
