"""What a line of the cause of death names, read word by word.

Which words name a mechanism, an injury or a drug: common practice, after the NCHS handbooks on
completing the cause of death (from memory).
"""

from __future__ import annotations

import pytest

from cases.certification import causes


def test_words_of_a_table_are_told_apart_by_spaces_and_lines():
    assert causes._words("  acute\n chronic end-stage ") == {"acute", "chronic", "end", "stage"}


@pytest.mark.parametrize(
    ("line", "plain"),
    [
        ("  Acute   Myocardial\nInfarction. ", "acute myocardial infarction"),
        ("Non-traumatic / spontaneous", "non traumatic spontaneous"),
        ("Stage 4; (left): b", "stage 4; (left): b"),
        ("Ébola", "bola"),
        ("", ""),
    ],
)
def test_a_line_is_read_in_small_letters_with_single_spaces(line, plain):
    assert causes.plain(line) == plain


LINKS = [
    "due to", "because of", "as a consequence of", "caused by", "secondary to", "resulting from",
    "following", "from", "complicating", "in the setting of", "associated with", "after",
]  # fmt: skip


@pytest.mark.parametrize("link", [f" {words} " for words in LINKS] + ["; ", ": "])
def test_a_line_that_says_what_led_to_it_is_read_from_its_last_link(link):
    assert causes.underlying_part(f"Septic Shock{link}Burst  ulcer") == "burst ulcer"
    assert causes.underlying_part(f"A{link}B{link}Burst ulcer") == "burst ulcer"


@pytest.mark.parametrize(
    ("line", "part"),
    [
        ("Shock (septic) of the (old) man", "shock of the man"),
        ("Shock (due to sepsis)", "shock"),
        ("Shock (septic", "shock (septic"),
        # Part of a word is no link.
        ("Aftermath of frombosis", "aftermath of frombosis"),
    ],
)
def test_brackets_are_left_out_and_links_are_whole_words(line, part):
    assert causes.underlying_part(line) == part


@pytest.mark.parametrize("head", causes._MECHANISM_HEADS)
def test_every_mechanism_is_one_alone_or_with_the_organ_it_needs(head):
    needed = causes._NEEDS.get(head)
    assert causes.is_mechanism_only(head) is (needed is None)
    assert causes.is_mechanism_only(f"Complications of {head}") is (needed is None)
    for organ in needed or ():
        assert causes.is_mechanism_only(f"{organ} {head}")
        assert causes.is_mechanism_only(f"Acute {organ} {head}") or head in causes._ONLY_AFTER
    # An origin makes it more than a mechanism, and so does a longer word.
    assert not causes.is_mechanism_only(f"tuberculous {head}")
    assert not causes.is_mechanism_only(f"{head} of a burst ulcer")
    assert not causes.is_mechanism_only(f"pre{head}")


@pytest.mark.parametrize(
    ("line", "alone"),
    [
        ("Shock, NOS", True),
        ("Shock, unspecified", True),
        ("Shock, undetermined", True),
        ("Shock of unknown", False),
        ("Shock unknown", True),
        ("Unknown shock", False),
        ("Acute hemorrhage", True),
        ("Severe internal hemorrhage", True),
        ("Pulmonary hemorrhage", False),
        ("Cerebral hemorrhage", False),
        ("Sudden asphyxia", True),
        ("Severe asphyxia", False),
        ("Acute fatal sudden probable possible asphyxia", True),
        ("Pulmonary aspiration", True),
        ("Left aspiration", False),
        ("Left edema", False),
        ("Acute failure", False),
        ("Circulatory failure", True),
        ("Multisystem failure", True),
        ("Severe metabolic acidosis", True),
        ("Acute left ventricular failure", True),
        ("Complications", False),
        ("Pneumonia", False),
        ("", False),
    ],
)
def test_a_mechanism_with_neutral_words_alone_is_only_a_mechanism(line, alone):
    assert causes.is_mechanism_only(line) is alone


@pytest.mark.parametrize(
    ("text", "injury", "transport"),
    [
        ("Gunshot wound", True, False),
        ("BLUNT-FORCE TRAUMA", True, False),
        ("Nontraumatic hemorrhage", False, False),
        ("Non-traumatic hemorrhage", False, False),
        ("Traumatic hemorrhage", True, False),
        ("Acute kidney injury", False, False),
        ("Pressure injuries", False, False),
        ("Acute kidney injury after a fall", True, False),
        ("Birth asphyxia", False, False),
        ("Asphyxia", True, False),
        ("Heat-stroke", True, False),
        ("Water intoxication", False, False),
        ("Downfall", False, False),
        ("Collision of two VEHICLES", True, True),
        ("Motor-vehicle; the driver", False, True),
        ("Cart", False, False),
        ("Driverless", False, False),
    ],
)
def test_an_injury_and_a_vehicle_are_read_in_whole_words(text, injury, transport):
    assert causes.names_injury(text) is injury
    assert causes.names_transport(text) is transport


@pytest.mark.parametrize(
    ("line", "no_drug"),
    [
        ("Drug overdose", True),
        ("MIXED-DRUG toxicity", True),
        ("Poisoning by a drug, 2 drugs", True),
        ("Fentanyl toxicity", False),
        ("Toxicity of fentanyl and other drugs", False),
        # Nothing of drugs is said here.
        ("Acute", False),
        ("Opioids", False),
        ("", False),
    ],
)
def test_a_line_about_drugs_that_names_none_is_told_from_one_that_does(line, no_drug):
    assert causes.names_no_drug(line) is no_drug


def test_all_the_words_that_name_no_drug_together_name_none():
    assert causes.names_no_drug(" ".join(sorted(causes._GENERIC)))


def test_one_line_that_names_its_drug_is_enough():
    assert causes.names_a_drug(["Drug overdose", "Fentanyl toxicity"])
    assert not causes.names_a_drug(["Drug overdose", "Pneumonia"])
    assert not causes.names_a_drug(["Fentanyl"])
    assert not causes.names_a_drug([])


def test_abbreviations_are_named_once_each_in_the_order_written():
    assert causes.abbreviations_in("MI, then CHF; MI again (COPD)") == ["MI", "CHF", "COPD"]
    assert causes.abbreviations_in("mi, Chf, COPDX, XMI, Asphyxia") == []
    assert causes.abbreviations_in("NSTEMI of 2 h") == ["NSTEMI"]
    assert causes.abbreviations_in("") == []


@pytest.mark.parametrize(
    ("text", "is_one"),
    [
        ("SIDS", True),
        ("Sudden unexplained infant death", True),
        ("Sudden unexpected infant death syndrome", True),
        ("Sudden infant death", True),
        ("Crib-death", True),
        ("Cot death", True),
        ("Sudden death of an infant", False),
        ("Asids", False),
    ],
)
def test_a_sudden_infant_death_is_known_by_each_of_its_names(text, is_one):
    assert causes.is_sudden_infant_death(text) is is_one


@pytest.mark.parametrize(
    ("text", "is_one"),
    [
        ("EXCITED DELIRIUM", True),
        ("Excited-delirium syndrome", True),
        ("exciteddelirium", True),
        ("Delirium", False),
        ("Unexcited delirium", False),
    ],
)
def test_excited_delirium_is_known_by_its_words(text, is_one):
    assert causes.names_excited_delirium(text) is is_one


PENDING = [
    "PENDING", "- deferred until toxicology", "Pending.", "pending investigation",
    "Pending toxicology and histology", "Pending further studies", "Deferred", "Cause pending",
    "Cause of death is pending", "Toxicology pending", "Autopsy and toxicology results pending",
    "Police investigation pending", "Awaiting toxicology", "Awaits histology", "To be determined",
    "TBD", "tbd (toxicology)", "To follow", "Under investigation",
    "Cause under investigation", "Under study", "Not yet determined", "Cause not yet known",
    "Histology awaited", "Inquest pending", "Final laboratory report pending",
    "Further tests pending",
    "Neuropathology examination deferred", "Microscopy to follow", "Manner and cause pending",
    "Investigations awaited", "Histology to be established", "To be established",
    "To be decided", "Cause not yet decided", "Not yet known", "Not yet established",
    "Reports are still pending", "Toxicology under study", "Autopsy examinations to be decided",
    "Awaited", "The results of the studies pending", "Test result TBD", "Study pending",
    "Death under investigation", "Laboratories pending", "Toxicology not yet established",
]  # fmt: skip
NOT_PENDING = [
    "", "Pendings", "Impending shock", "Impending uterine rupture", "Independent", "Depending",
    "Appending", "Suspended", "Drug toxicity, toxicology pending",
    "Probable fentanyl toxicity (pending toxicology)", "Fall while a train was pending",
    "Undetermined", "Unknown", "Complications of a deferred operation", "Drowning",
    "Investigation of a fall", "Following a fall",
]  # fmt: skip
NO_CAUSE = [
    "Unknown", "UNDETERMINED.", "Unascertained", "Undetermined cause", "Cause unknown",
    "Unknown cause of death", "Cause of death undetermined", "Could not be determined",
    "Cannot be determined", "Not known", "Indeterminate", "Unspecified", "Unexplained", "N/A",
    "None", "Undeterminable", "Cause not determined", "Causes unknown", "Unknown causes",
    "Cause could not be ascertained", "The cause is unknown", "Can not be known",
    "Cause was unknown",
]  # fmt: skip
SOME_CAUSE = [
    "", "Cause of death", "Unknown drug toxicity", "Sudden unexplained infant death", "Pending",
    "Undetermined natural disease", "Bronchopneumonia of unknown cause", "Known epilepsy",
    "Gunshot wound of undetermined range",
]  # fmt: skip


def test_a_line_says_pending_where_it_says_no_more():
    assert [line for line in PENDING if not causes.says_pending(line)] == []
    assert [line for line in NOT_PENDING if causes.says_pending(line)] == []


def test_a_line_states_no_cause_where_it_says_no_more():
    assert [line for line in NO_CAUSE if not causes.says_no_cause(line)] == []
    assert [line for line in SOME_CAUSE if causes.says_no_cause(line)] == []
