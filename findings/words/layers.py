"""Layers under a finding: their order, their words, and which to look at next.

Order and names: common practice. The stored word of a layer stays what it was; what is printed and
offered is its American report word. No database, no clock.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from types import MappingProxyType
from typing import Final


class Layer(StrEnum):
    """Layers a finding may go through, outermost first."""

    SKIN = "skin"
    SUBCUTIS = "subcutis"
    GALEA = "galea"
    TEMPORALIS = "temporalis muscle"
    SUBGALEAL = "subgaleal"
    FASCIA = "fascia"
    MUSCLE = "muscle"
    TENDON = "tendon"
    VESSEL = "vessel"
    NERVE = "nerve"
    JOINT = "joint"
    PERIOSTEUM = "periosteum"
    BONE = "bone"
    SKULL = "skull"
    EPIDURAL = "epidural"
    DURA = "dura"
    SUBDURAL = "subdural"
    ARACHNOID = "arachnoid"
    SUBARACHNOID = "subarachnoid"
    BRAIN = "brain"
    PLEURA = "pleura"
    PERITONEUM = "peritoneum"
    SEROSA = "serosa"
    ORGAN = "organ"


LAYER_WORDS: Final = MappingProxyType(
    {layer: layer.value for layer in Layer}
    | {
        Layer.SUBCUTIS: "subcutaneous tissue",
        Layer.SUBGALEAL: "subgaleal space",
        Layer.EPIDURAL: "epidural space",
        Layer.SUBDURAL: "subdural space",
        Layer.SUBARACHNOID: "subarachnoid space",
        Layer.SEROSA: "pleura or peritoneum",
    }
)
# Read on records of before, not offered any more: pleura and peritoneum are told apart.
NO_LONGER_OFFERED: Final = frozenset({Layer.SEROSA})

# The layers looked at first, in the order in which a dissection meets them.
USUAL_LAYERS: Final = (
    Layer.SKIN,
    Layer.SUBCUTIS,
    Layer.MUSCLE,
    Layer.PERIOSTEUM,
    Layer.BONE,
)
_WITHIN_THE_SKULL: Final = (
    Layer.SKULL,
    Layer.EPIDURAL,
    Layer.DURA,
    Layer.SUBDURAL,
    Layer.ARACHNOID,
    Layer.SUBARACHNOID,
    Layer.BRAIN,
)
SCALP_LAYERS: Final = (
    Layer.SKIN,
    Layer.SUBCUTIS,
    Layer.GALEA,
    Layer.SUBGALEAL,
    Layer.PERIOSTEUM,
    *_WITHIN_THE_SKULL,
)
# Over the temple the temporalis muscle lies between galea and bone.
TEMPORAL_LAYERS: Final = (
    Layer.SKIN,
    Layer.SUBCUTIS,
    Layer.GALEA,
    Layer.TEMPORALIS,
    Layer.SUBGALEAL,
    Layer.PERIOSTEUM,
    *_WITHIN_THE_SKULL,
)
# The forehead has muscle (frontalis) where the scalp has galea; the ear has neither.
FOREHEAD_LAYERS: Final = (
    Layer.SKIN,
    Layer.SUBCUTIS,
    Layer.MUSCLE,
    Layer.PERIOSTEUM,
    *_WITHIN_THE_SKULL,
)
EAR_LAYERS: Final = (Layer.SKIN, Layer.SUBCUTIS, Layer.PERIOSTEUM, Layer.SKULL)


def usual_layers(region: str) -> tuple[Layer, ...]:
    """The layers usually looked at under a region, by its key ("temporal_scalp_l", "ear_r")."""
    if region.startswith("temporal_scalp"):
        return TEMPORAL_LAYERS
    if "scalp" in region:
        return SCALP_LAYERS
    if region == "forehead":
        return FOREHEAD_LAYERS
    return EAR_LAYERS if region.startswith("ear_") else USUAL_LAYERS


def next_layer(recorded: Iterable[str], *, region: str = "") -> str:
    """The layer to offer next under a finding; empty when the usual ones are recorded."""
    there = set(recorded)
    return next((layer.value for layer in usual_layers(region) if layer.value not in there), "")
