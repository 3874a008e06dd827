"""Words and limits of findings. No database, no clock."""

from __future__ import annotations

from enum import StrEnum


class FindingClass(StrEnum):
    """What kind of thing was seen."""

    INJURY = "injury"
    POSTMORTEM_CHANGE = "postmortem change"
    ARTIFACT = "artifact"
    NATURAL_DISEASE = "natural disease"
    MEDICAL_INTERVENTION = "medical intervention"
    IDENTIFYING_FEATURE = "identifying feature"
    OTHER = "other"


class MarkKind(StrEnum):
    """How a mark is drawn on the body chart."""

    POINT = "point"
    LINE = "line"
    AREA = "area"


class CountKind(StrEnum):
    """How a number of impacts is meant."""

    AT_LEAST = "at least"
    EXACTLY = "exactly"
    CANNOT_SAY = "cannot be determined"


class Timing(StrEnum):
    """Before or after death."""

    ANTEMORTEM = "antemortem"
    PERIMORTEM = "perimortem"
    POSTMORTEM = "postmortem"
    UNDETERMINED = "undetermined"


TIMING_WORDS = {
    Timing.ANTEMORTEM: "before death",
    Timing.PERIMORTEM: "about the time of death",
    Timing.POSTMORTEM: "after death",
    Timing.UNDETERMINED: "before or after death cannot be said",
}


class MeasuredBy(StrEnum):
    """How a size or position was obtained."""

    RULER = "ruler"
    PHOTOGRAPH = "photograph"
    ESTIMATE = "estimate"


class Layer(StrEnum):
    """Layers a finding may go through, outermost first."""

    SKIN = "skin"
    GALEA = "galea"
    SUBGALEAL = "subgaleal"
    SUBCUTIS = "subcutis"
    MUSCLE = "muscle"
    PERIOSTEUM = "periosteum"
    BONE = "bone"
    SKULL = "skull"
    EPIDURAL = "epidural"
    SUBDURAL = "subdural"
    SUBARACHNOID = "subarachnoid"
    BRAIN = "brain"
    SEROSA = "serosa"
    ORGAN = "organ"


class Standing(StrEnum):
    """How an interpretation stands against what was seen."""

    CONSISTENT = "consistent with"
    NOT_EXCLUDED = "not excluded"
    EXCLUDED = "excluded"
