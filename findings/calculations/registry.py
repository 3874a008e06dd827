"""All methods by name: the one list from which pages, API, command and docs are made.

There is on purpose no method that interprets drug concentrations: what a concentration means stays
with the toxicologist.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from findings.calculations import (
    body_chart,
    body_size,
    body_surface,
    burn_area,
    cooling_forward,
    deadline,
    hash_and_merkle,
    heart_for_body_weight,
    impact_minimum,
    lividity_check,
    organ_weights,
    photo_measure,
    pmi_rectal,
    time_since_death,
    vitreous_potassium,
    wound_path,
)
from findings.calculations.method import Method
from findings.calculations.result import Plain, Result

NOT_BUILT = {
    "drug_reference": "Interpretation of drug concentrations is not built on purpose: it stays "
    "with the toxicologist.",
}
METHODS: tuple[Method, ...] = (
    pmi_rectal.METHOD,
    cooling_forward.METHOD,
    vitreous_potassium.METHOD,
    time_since_death.METHOD,
    lividity_check.METHOD,
    organ_weights.METHOD,
    heart_for_body_weight.METHOD,
    body_size.METHOD,
    burn_area.METHOD,
    body_surface.METHOD,
    wound_path.METHOD,
    impact_minimum.METHOD,
    photo_measure.METHOD,
    body_chart.PICK_METHOD,
    body_chart.AREA_METHOD,
    deadline.METHOD,
    hash_and_merkle.METHOD,
)
BY_NAME: Mapping[str, Method] = MappingProxyType(
    {name: one for one in METHODS for name in (one.name, *one.other_names)}
)


class UnknownMethod(KeyError):
    """There is no method of that name."""

    code = "unknown_method"

    def __init__(self, name: str) -> None:
        super().__init__(name)
        self.name = name
        self.message = NOT_BUILT.get(name, f"There is no method called {name!r}.")


def find(name: str) -> Method:
    """The method of a name or other name; raises `UnknownMethod`."""
    try:
        return BY_NAME[name]
    except KeyError:
        raise UnknownMethod(name) from None


def calculate(name: str, inputs: Mapping[str, Plain]) -> Result:
    """Run a method; raises `UnknownMethod` or `fields.BadInput`."""
    return find(name).run(inputs)
