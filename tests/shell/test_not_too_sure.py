"""What the office says of medicine and law is no surer than what is known of it.

Each row is a wording that a pathologist, a certifier or counsel took back when reading the list of
statements, with the ground. What is right instead is common practice unless a source is named.
"""

from __future__ import annotations

import re

import pytest

from me_office.statements import statements
from tests.texts import known_texts, texts_by_file

TAKEN_BACK = [
    ("lividity stays where it was", "fixation is a matter of degree: some can still shift"),
    ("a surface that the body lay on at some time", "clothing and straps spare skin, too"),
    ("has to be replaced by a supplemental certificate", "states name and do it differently"),
    ("A licensed pathologist decides on cause and manner", "in places an elected official does"),
    ("decided by the law of the place", "one phrase for it: governed by local law"),
    ("Times of death and of injury are estimates", "a witnessed time is no estimate"),
    ("a supervisor signs it off", "the author and a reviewing pathologist sign"),
    ("Custody unbroken", "the record can lack a gap; the software knows nothing beyond it"),
    ("Unbroken. Each hand", "the record can lack a gap; the software knows nothing beyond it"),
    ("Plain words explain; they add no opinion", "many are opinions and say so"),
    ("on the side away from the blow", "a fall is no blow"),
    ("beneath the place of a blow", "a fall is no blow"),
    ("seen in tears and not in cuts", "usual, not without exception"),
]
BRITISH = re.compile(
    r"colour|\bgrey|centre\b|centred|haemo|oedema|judgement|\bfibre|\btyre|behaviour|neighbour"
    r"|\b(?:organ|recogn|emphas|summar)is(?:e|ed|es|ing)\b|licence|\bpractise|favour|labour\b"
    r"|paediatr|anaesth|foetus|oesoph|catalogue\b|millimetre|whilst|\btowards",
    re.I,
)
LAW_FROM_MEMORY = re.compile(
    r"required by law|the law (?:says|requires|demands)|in (?:most|all|many) states"
    r"|by state law|(?:file|report)\w* within|within (?:\d+|two|three|five|ten) (?:hours|days)"
    r"|admissib|\bprove[sn]? (?:that|how|who)|conclusive|beyond (?:a )?(?:reasonable )?doubt",
    re.I,
)
# Item 36 of the certificate, in its words.
OF_THE_CERTIFICATE = "pregnant within 42 days"


@pytest.fixture(scope="module")
def said() -> dict[str, str]:
    """Everything that a person may read, with where it stands."""
    known_texts()
    texts = {one.text: one.where for one in statements()}
    for file, of_file in texts_by_file().items():
        texts |= dict.fromkeys(of_file, file)
    return texts


@pytest.mark.parametrize(("words", "why"), TAKEN_BACK)
def test_what_was_taken_back_is_said_nowhere(said, words, why):
    assert [where for text, where in said.items() if words in text] == [], why


def test_new_texts_are_american(said):
    # The vocabulary also reads what a person wrote the other way.
    found = {text: where for text, where in said.items() if BRITISH.search(text)}
    assert {where for where in found.values() if where != "findings/words/vocabulary.py"} == set()


def test_no_text_states_a_deadline_or_a_proof_of_the_law_by_itself(said):
    found = [text for text in said if LAW_FROM_MEMORY.search(text)]
    assert [text for text in found if OF_THE_CERTIFICATE not in text] == []


@pytest.mark.parametrize(
    "term",
    [
        "Petechiae",
        "Conjunctival petechiae",
        "Facial petechiae",
        "Oral petechiae",
        "Scleral hemorrhage",
        "Retinal hemorrhage",
        "Optic nerve sheath hemorrhage",
        "Purpura",
        "Foam cone",
        "Aspiration",
        "Subarachnoid hemorrhage",
        "Subdural hemorrhage",
        "Intracerebral hemorrhage",
    ],
)
def test_a_finding_that_has_several_causes_says_so_to_a_jury(said, term):
    plain = [text for text in said if text.startswith(f"{term}: ")]
    assert len(plain) == 1
    assert re.search(r"causes|can cause it|can also get there", plain[0]), plain
