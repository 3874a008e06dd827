"""Codes of what the certificate asks, for who sends it on. Pure.

SNOMED CT codes of manner and certifier: value sets of HL7's Medicolegal Death Investigation guide
1.1.0 and Vital Records Death Reporting guide 3.0.0. Codes of item 36: NCHS.
"""

from __future__ import annotations

from cases.certification.rules import Manner

SNOMED = "http://snomed.info/sct"
MANNER = {
    Manner.NATURAL.value: "38605008",
    Manner.ACCIDENT.value: "7878000",
    Manner.SUICIDE.value: "44301001",
    Manner.HOMICIDE.value: "27935005",
    Manner.PENDING.value: "185973002",
    Manner.UNDETERMINED.value: "65037004",
}
CERTIFIER = {
    "examiner": "455381000124109",
    "pronouncing": "434641000124105",
    "certifying": "434651000124107",
}


def with_code(words: str, code: str) -> str:
    """The words with their code behind them: natural [38605008]; nothing of nothing."""
    return f"{words} [{code}]" if words and code else words
