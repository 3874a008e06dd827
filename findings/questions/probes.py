"""The hole that a liver temperature leaves, and whether a finding records it. No database.

It is never recorded by itself: whether there is a hole, and where, is seen by who examines.
"""

from __future__ import annotations

import re
from types import MappingProxyType

from findings.rules import FindingClass
from me_office.statements import COMMON_PRACTICE, statement

ASKED = statement(
    "examination.probe-hole",
    "A liver temperature was read {when}, and no finding records the hole of the probe. If it is "
    "there, record it as an artifact, so that nobody takes it for a wound.",
    where="Body chart, report",
    source=COMMON_PRACTICE,
)
CHANGE_PLACE = statement(
    "examination.probe-hole-place",
    "The right upper quadrant is only the usual place of a liver probe. Say where the hole is "
    "seen.",
    where="Body chart, new finding",
    source=COMMON_PRACTICE,
)
# Kinds of examination in which the skin is not seen.
SKIN_NOT_SEEN = frozenset({"chart review", "imaging only"})
OFFERED = MappingProxyType(
    {
        "klass": FindingClass.ARTIFACT.value,
        "term": "Probe hole",
        "place": "Right upper quadrant of abdomen",
    }
)
_PROBE = re.compile(r"\b(?:probe|thermometer|temperature)\b")
_OTHER_PROBE = re.compile(r"\bconducted[- ]energy probe\b|\bultrasound probe\b")
_CLASSES = frozenset({FindingClass.ARTIFACT, FindingClass.MEDICAL_INTERVENTION})


def records_probe_hole(klass: str, *words: str) -> bool:
    """Tell whether a finding of this class, with these words, is a temperature probe's hole."""
    said = _OTHER_PROBE.sub(" ", " ".join(words).lower())
    return klass in _CLASSES and bool(_PROBE.search(said))
