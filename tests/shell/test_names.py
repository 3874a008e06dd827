"""Two people are two: a name is compared without what is only written otherwise."""

from __future__ import annotations

import pytest

from me_office.names import is_one_of


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("D. Renn", "D Renn", True),
        ("D. Renn", "d.renn", True),
        ("D. Renn", " D.  Renn ", True),
        ("D. Renn", "D. Renn, Lowe & Daughter", True),
        ("D. Renn, technician", "D. Renn", True),
        ("D. Renn, MD", "D. Renn, MD", True),
        ("D. Renn", "P. Renn", False),
        ("D. Renn", "D. Rennie", False),
        ("Renn, D.", "Renn, P.", False),
        ("Renn, D.", "D. Renn", False),
        ("", "", False),
        (".", " ", False),
        (", MD", ", MD", True),
        ("", ", MD", False),
        ("D. Renn, technician, Lowe & Daughter", "D. Renn", True),
        ("D. Renn, technician, Lowe & Daughter", "D. Renn, technician", False),
    ],
)
def test_a_name_is_the_same_without_what_is_only_written_otherwise(one, other, same):
    assert is_one_of(one, ["A. Birch", other]) is same
    assert is_one_of(other, [one]) is same
    assert not is_one_of(one, [])
