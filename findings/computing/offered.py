"""Which methods a case is offered, in what words and by which ways. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from findings.calculations.burn_area import LUND_BROWDER_NAME, NINES_NAME
from findings.calculations.burn_tables import LUND_BROWDER, RULE_OF_NINES
from findings.calculations.method import Method
from findings.calculations.registry import METHODS, find
from findings.calculations.result import Plain

TIME, BODY, WOUNDS = "Time since death", "Body and organs", "Wounds and burns"


@dataclass(frozen=True)
class Way:
    """One way to use a method: the fields it asks for; `fixed` inputs are not asked."""

    key: str
    title: str
    fields: tuple[str, ...]
    needed: tuple[str, ...] = ()
    fixed: Mapping[str, Plain] = field(default_factory=dict)
    regions: tuple[str, ...] = ()
    as_points: bool = False


@dataclass(frozen=True)
class Offer:
    """A method as the case page offers it; `is_timed` ones count hours back from a measurement."""

    name: str
    group: str
    line: str
    ways: tuple[Way, ...]
    is_timed: bool = False

    @property
    def method(self) -> Method:
        """The method itself."""
        return find(self.name)

    def way(self, key: str) -> Way:
        """The way of that key, or the first."""
        return next((way for way in self.ways if way.key == key), self.ways[0])


def _one(*fields: str, needed: tuple[str, ...] = ()) -> tuple[Way, ...]:
    return (Way("", "", fields, needed),)


_BURN_WAYS = (
    Way(
        "lund-browder",
        "Lund and Browder, by age",
        ("age", "fraction_burned"),
        ("age",),
        {"chart": LUND_BROWDER_NAME},
        tuple(LUND_BROWDER["adult"]),
    ),
    Way(
        "nines",
        "Rule of nines",
        ("age", "fraction_burned"),
        (),
        {"chart": NINES_NAME},
        tuple(RULE_OF_NINES),
    ),
    Way("charted", "Areas on the body chart", ("charted_percent",), ("charted_percent",)),
    Way("palms", "Palms", ("palm_count", "with_fingers"), ("palm_count",)),
)
_SCALE = ("object_px", "reference_px", "reference_mm")
_ERRORS = ("click_error_px", "reference_error_mm")
_PHOTO_WAYS = (
    Way("straight", "Straight scale", (*_SCALE, *_ERRORS), _SCALE),
    Way("plane", "Four points or more", (*_SCALE, *_ERRORS), _SCALE, as_points=True),
    Way(
        "outline",
        "Outline",
        ("polygon_px", "px_per_mm", "click_error_px"),
        ("polygon_px", "px_per_mm"),
    ),
    Way("tilt", "Tilt of the camera", ("tilt_deg",), ("tilt_deg",)),
)
OFFERS: tuple[Offer, ...] = (
    Offer(
        "pmi_rectal",
        TIME,
        "Hours before a rectal reading, with the 95 % band, from air temperature and body mass.",
        _one(
            "rectal_C",
            "ambient_C",
            "mass_kg",
            "corrective_factor",
            needed=("rectal_C", "ambient_C", "mass_kg", "corrective_factor"),
        ),
        is_timed=True,
    ),
    Offer(
        "vitreous_potassium",
        TIME,
        "Hours before the vitreous was drawn, by several published lines side by side.",
        _one("potassium_mmol_L", "urea_mg_dL", "urea_analyte", "formula"),
        is_timed=True,
    ),
    Offer(
        "cooling_forward",
        TIME,
        "How the rectal temperature should fall: what a second reading ought to show.",
        _one(
            "ambient_C",
            "mass_kg",
            "corrective_factor",
            "hours",
            "step_h",
            # Never taken for granted: 1 means naked and in still air.
            needed=("corrective_factor",),
        ),
    ),
    Offer(
        "lividity_rigor",
        TIME,
        "Whether lividity fits the position in which the body was found.",
        _one(
            "position_found",
            "lividity_matches",
            "fixed",
            needed=("position_found", "lividity_matches"),
        ),
    ),
    Offer(
        "time_since_death",
        TIME,
        "All saved intervals on one time line with last known alive and found dead; what fits "
        "them all.",
        _one("last_known_alive", "found_dead", "estimates"),
    ),
    Offer(
        "organ_weights",
        BODY,
        "A weight of an adult organ beside a published mean.",
        _one("sex", "organ", "weight_g", "age_years", needed=("sex", "organ", "weight_g")),
    ),
    Offer(
        "heart_for_body_weight",
        BODY,
        "The heart weight that a published ratio gives for the body weight.",
        _one("body_kg", "height_cm", "heart_g", "age_years"),
    ),
    Offer(
        "body_size",
        BODY,
        "Body mass index, body surface by three formulae, growth of a child under five.",
        _one("height_cm", "mass_kg", "sex", "age_days"),
    ),
    Offer(
        "wound_path",
        WOUNDS,
        "Direction in words, length and angles of a straight path through the body.",
        _one("entrance", "terminus", "body_length_cm", "error_cm"),
    ),
    Offer(
        "impacts",
        WOUNDS,
        "The smallest number of blunt impacts that explains the marks.",
        _one("marks"),
    ),
    Offer(
        "burn_area",
        WOUNDS,
        "Burned share of the body surface by chart, palms or areas on the body chart.",
        _BURN_WAYS,
    ),
    Offer(
        "photo_scale",
        WOUNDS,
        "A length, area or angle out of a photograph with a scale.",
        _PHOTO_WAYS,
    ),
)
BY_METHOD: Mapping[str, Offer] = {offer.name: offer for offer in OFFERS}
GROUPS = (TIME, BODY, WOUNDS)
# On the court pages, or of use to the office's machinery only.
NOT_OFFERED = frozenset({"deadlines", "hash_and_merkle", "body_pick", "body_area", "body_surface"})


def everything_is_sorted() -> bool:
    """Whether each method is either offered or left out on purpose."""
    return {method.name for method in METHODS} == set(BY_METHOD) | NOT_OFFERED
