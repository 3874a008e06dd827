"""Picks and areas of the body chart through the door of the other methods."""

import pytest

from findings.calculations.fields import BadInput
from findings.calculations.registry import calculate


def test_a_pick_names_point_region_and_normal() -> None:
    # One of the check vectors of the body surfaces: the right thumb from the front.
    fields = calculate(
        "body_pick", {"body": "adult_male", "view": "anterior", "u": -217.73, "v": 499.39}
    ).outcome.fields
    assert fields["point"] == pytest.approx([-217.73, 37.22, 500.61], abs=0.05)
    assert fields["region"] == "thumb_r"
    assert fields["normal"] == pytest.approx([0.298, 0.902, 0.313], abs=0.005)


def test_a_point_beside_the_body_is_refused() -> None:
    outcome = calculate(
        "body_pick", {"body": "adult_male", "view": "anterior", "u": 9000, "v": 9000}
    ).outcome
    assert outcome.reason
    assert outcome.fields["region"] is None


def test_an_area_is_a_share_of_the_surface() -> None:
    # One of the check vectors of the body surfaces: 0.4288 %, within 2 %.
    outline = [
        [-50.0, 846.9], [-83.7, 837.0], [-86.8, 786.2], [-69.3, 783.1], [-68.0, 781.1],
        [-57.6, 789.9], [-50.8, 786.7], [-40.2, 801.5], [-34.8, 813.4],
    ]  # fmt: skip
    found = calculate(
        "body_area", {"body": "adult_male", "view": "anterior", "outline": outline}
    ).outcome
    assert found.value == pytest.approx(0.4288, rel=0.02)


@pytest.mark.parametrize(
    ("changes", "field"),
    [({"body": "centaur"}, "body"), ({"view": "from below"}, "view"), ({"u": None}, "u")],
)
def test_a_wrong_field_is_named(changes: dict[str, object], field: str) -> None:
    given = {"body": "adult_male", "view": "anterior", "u": 0, "v": 300, **changes}
    with pytest.raises(BadInput) as caught:
        calculate("body_pick", given)
    assert caught.value.field == field
