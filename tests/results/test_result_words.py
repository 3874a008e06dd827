"""Every word by which a purpose or a place is known, each by itself; written out a second time."""

from __future__ import annotations

import pytest

from evidence.items.receivers import IN_OFFICE, Where, place_named
from evidence.results.rules import PURPOSES, Party, examinations_of, is_only_kept

# Common practice: what stands on labels and requests.
EXAMINATIONS = {
    "neuropathology": ["neuropathology"],
    "cardiac": ["cardiac pathology", "cardiovascular pathology", "heart pathology"],
    "toxicology": [
        "toxicology", "tox", "drugs", "alcohol", "ethanol", "carbon monoxide", "carboxyhemoglobin",
        "cyanide", "volatiles",
    ],
    "histology": ["histology", "histopathology", "microscopy"],
    "chemistry": [
        "chemistry", "electrolytes", "glucose", "ketones", "tryptase", "urea", "metabolic screen",
    ],
    "microbiology": [
        "microbiology", "culture", "bacteriology", "virology", "viral panel", "PCR", "serology",
    ],
    "genetic": ["DNA", "genetics", "molecular autopsy"],
    "radiology": ["radiology"],
    "odontology": ["odontology"],
    "anthropology": ["anthropology"],
}  # fmt: skip
PLACES = [
    "refrigerator", "fridge", "freezer", "cooler", "safe", "locker", "cabinet", "cupboard", "shelf",
    "rack", "drawer", "vault", "storage", "storeroom", "store room", "evidence room",
    "specimen room", "property room", "morgue", "examination room",
]  # fmt: skip
KEPT = [
    "hold", "held", "store", "stored", "retain", "retained", "retention", "keep", "keeping", "kept",
    "archive", "archived", "return to family", "returned",
]  # fmt: skip


@pytest.mark.parametrize(
    ("word", "kind"), [(word, kind) for kind, words in EXAMINATIONS.items() for word in words]
)
def test_each_word_alone_names_its_examination(word, kind):
    assert examinations_of(word) == examinations_of(f"for {word.upper()}, urgent") == {kind}


def test_no_word_is_known_that_is_not_written_here():
    known = {kind.value: len(names) for kind, names in PURPOSES}
    assert known == {kind: len(words) for kind, words in EXAMINATIONS.items()}
    assert len(IN_OFFICE.pattern.split("|")) == len(PLACES) - 1, "storeroom is one with store room"


@pytest.mark.parametrize("place", PLACES)
def test_each_place_of_the_office_is_one_and_no_part_of_another_word(place):
    assert Party(place.capitalize(), False).is_in_office
    assert Party(f"North {place} 2", False, "toxicology").is_in_office
    assert not Party(f"{place}ton Laboratories", False).is_in_office
    assert not Party(f"North {place} 2", False, "storage", gave_receipt=True).is_in_office


@pytest.mark.parametrize("word", KEPT)
def test_what_is_only_kept_is_for_no_examination(word):
    assert is_only_kept(f"To be {word}")
    assert not is_only_kept(f"{word}, then toxicology")
    assert not is_only_kept("")


OUTSIDE = [
    "laboratory", "laboratories", "lab", "labs", "courier", "carrier", "hospital", "clinic",
    "police", "sheriff", "detective", "det", "trooper", "officer", "constable", "court",
    "university", "institute", "agency", "department", "bureau", "attorney", "prosecutor",
    "consultant", "funeral", "crime",
]  # fmt: skip


def test_each_word_for_somebody_outside_is_one_and_no_part_of_another_word():
    for word in OUTSIDE:
        assert place_named(f"North {word.capitalize()} 2") is Where.OUTSIDE, word
        assert place_named(f"North {word}ton") is Where.UNSAID, word
        assert place_named(f"{word} freezer") is Where.OFFICE, "a place of the office first"
        assert place_named(word, "Storage ") is Where.OFFICE
    assert place_named("Bench 2") is place_named("") is Where.UNSAID
