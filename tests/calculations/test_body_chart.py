"""Picks and areas of the body chart through the door of the other methods."""

import pytest

from findings.body import picking
from findings.calculations.fields import BadInput
from findings.calculations.registry import calculate


def test_a_pick_names_point_region_and_normal() -> None:
    # One of the check vectors of the body surfaces: the right thumb from the front.
    found = calculate(
        "body_pick", {"body": "adult_male", "view": "anterior", "u": -217.73, "v": 499.39}
    ).outcome
    fields = found.fields
    assert (found.value, found.unit) == ("thumb_r", "thousandths of crown-heel length")
    assert set(fields) == {"point", "region", "normal"}
    assert fields["point"] == pytest.approx([-217.73, 37.22, 500.61], abs=0.05)
    assert fields["region"] == "thumb_r"
    assert fields["normal"] == pytest.approx([0.298, 0.902, 0.313], abs=0.005)


def test_a_point_beside_the_body_is_refused() -> None:
    outcome = calculate(
        "body_pick", {"body": "adult_male", "view": "anterior", "u": 9000, "v": 9000}
    ).outcome
    assert outcome.reason == "nothing of the body lies under this point of the view"
    assert outcome.fields == dict.fromkeys(("estimate", "point", "region", "normal"))


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
    assert (found.fields, found.unit) == ({"area_percent": found.value}, "% body surface")


OUTLINE = [[-40, 300], [40, 300], [40, 360]]


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"outline": OUTLINE[:2]}, "outline", "must have at least three points"),
        ({"body": "centaur"}, "body", "There is no body called “centaur”."),
        ({"view": "from below"}, "view", "There is no view called “from below”."),
        (
            {"view": "perineum_female"},
            "view",
            "A schematic drawing has no body surface to measure.",
        ),
    ],
)
def test_an_area_names_what_is_wrong(changes: dict[str, object], field: str, words: str) -> None:
    given = {"body": "adult_male", "view": "anterior", "outline": OUTLINE}
    assert 0 < calculate("body_area", given).outcome.value < 2
    with pytest.raises(BadInput) as caught:
        calculate("body_area", {**given, **changes})
    assert (caught.value.field, caught.value.message) == (field, words)


@pytest.mark.parametrize(
    ("changes", "field"),
    [({"body": "centaur"}, "body"), ({"view": "from below"}, "view"), ({"u": None}, "u")],
)
def test_a_wrong_field_is_named(changes: dict[str, object], field: str) -> None:
    given = {"body": "adult_male", "view": "anterior", "u": 0, "v": 300, **changes}
    with pytest.raises(BadInput) as caught:
        calculate("body_pick", given)
    assert caught.value.field == field


def test_an_error_of_the_geometry_without_a_code_belongs_to_the_view(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def bad(*_: object) -> None:
        raise ValueError("No such thing.")

    monkeypatch.setattr(picking, "pick", bad)
    with pytest.raises(BadInput) as caught:
        calculate("body_pick", {"body": "adult_male", "view": "anterior", "u": 0, "v": 300})
    assert (caught.value.field, caught.value.message) == ("view", "No such thing.")
