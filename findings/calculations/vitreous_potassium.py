"""Time since death from the potassium of the vitreous humor.

Straight-line formulae from several studies. Without a formula named, all of them are shown side
by side; they are never averaged.

Formula:
    t = slope K - intercept, t in hours, K in mmol/L
    urea in mg/dL = 2.14 x urea nitrogen in mg/dL (60.06 / 28.01, the molar masses)
    sturner1963              7.14 K  - 39.1     95 % limits +- 33 h
    madea1989                5.26 K  - 30.9     95 % limits +- 19 h, on other cases +- 26 h
    james1997                4.32 K  - 18.35    coefficients from memory
    munoz2001                3.92 K  - 19.04    coefficients from memory
    munoz_barus2002          3.967 K - 19.186   R2 0.688
    munoz_barus2002_hanging  3.631 K - 17.334   R2 0.818

Range:
    Adults; vitreous drawn gently and completely from one eye; up to about 100 to 120 h; no
    retention of urea (urea under 100 mg/dL, which is urea nitrogen under 47 mg/dL). A negative
    time is refused.

Sources:
    - Sturner WQ. Lancet 1963;1:807-808; Sturner WQ, Gantner GE. Am J Clin Pathol 1964;42:137
      (primary papers not opened; coefficients and +- 33 h seen on a public reference page).
    - Madea B et al. Forensic Sci Int 1989;40:231-243 (primary paper not opened; coefficients and
      +- 19 h seen on the same page).
    - Madea B, Rödig A. Forensic Sci Int 2006;164:87-92 (+- 26 h on other cases, abstract).
    - James RA, Hoadley PA, Sampson BG. Am J Forensic Med Pathol 1997;18:158-162 (coefficients
      from memory).
    - Muñoz JI et al. J Forensic Sci 2001;46:209-214 (inverted coefficients from memory).
    - Muñoz Barús JI et al. Forensic Sci Int 2002;125:67-74 (coefficients from the abstract).

Cautions:
    - The formulae disagree by many hours on the same sample: name the formula in the report and
      never average them silently.
    - For Madea the wider limits found on other cases (+- 26 h) are shown, not the original ones.
    - For James and Muñoz no 95 % limits were found, so no interval is shown.
    - Not to be used in warm surroundings, children, electrolyte disorder or decomposition.
    - US laboratories usually report urea nitrogen, others urea: say which one was measured.
    - Sturner's formula tends to overestimate.
    - It supports the judgment of a licensed pathologist and does not replace it.
"""

from __future__ import annotations

from dataclasses import dataclass

from findings.calculations.fields import BadInput, Field, Inputs, Kind
from findings.calculations.method import ResultField, define
from findings.calculations.result import Interval, Outcome, Plain, refusal

UREA_LIMIT_MG_DL = 100.0  # Madea's subset
LONGEST_H = 120.0
# Molar masses: urea 60.06 g/mol, the nitrogen in it 28.01 g/mol (IUPAC atomic weights).
UREA_PER_NITROGEN = 2.14
UREA, UREA_NITROGEN = "urea", "urea nitrogen"
WARN_FROM_H = 100.0


@dataclass(frozen=True)
class Line:
    """One published line: its figures, the 95 % half width shown and the one its authors gave."""

    slope: float
    intercept: float
    band95_h: float | None
    stated_band95_h: float | None
    provenance: str

    def hours(self, potassium_mmol_l: float) -> float:
        """Hours since death; may be negative, which is not an estimate."""
        return self.slope * potassium_mmol_l - self.intercept


LINES = {
    "sturner1963": Line(7.14, 39.1, 33.0, 33.0, "published, secondary page seen"),
    "madea1989": Line(5.26, 30.9, 26.0, 19.0, "published, secondary page seen"),
    "james1997": Line(4.32, 18.35, None, None, "coefficients from memory"),
    "munoz2001": Line(3.92, 19.04, None, None, "coefficients from memory"),
    "munoz_barus2002": Line(3.967, 19.186, None, None, "published, abstract seen"),
    "munoz_barus2002_hanging": Line(3.631, 17.334, None, None, "published, abstract seen"),
}


def _no_estimate(hours: float) -> str | None:
    if hours < 0:
        return (
            "negative time: the potassium lies below the value that this formula starts from, "
            "so it gives no estimate"
        )
    if hours > LONGEST_H:
        return "more than 120 h: beyond the time for which the formulae were established"
    return None


def _by_line(name: str, potassium: float) -> dict[str, Plain]:
    line = LINES[name]
    hours = line.hours(potassium)
    reason = _no_estimate(hours)
    band = None if reason else line.band95_h
    return {
        "formula": name,
        "t_h": hours,
        "estimate": None if reason else hours,
        "band95_h": line.band95_h,
        "stated_band95_h": line.stated_band95_h,
        "low_h": None if band is None else max(hours - band, 0.0),
        "high_h": None if band is None else hours + band,
        "provenance": line.provenance,
        "report": reason,
    }


def _warnings(names: list[str], longest_h: float) -> tuple[str, ...]:
    found = []
    remembered = [name for name in names if "memory" in LINES[name].provenance]
    if remembered:
        found.append("coefficients from memory: " + ", ".join(remembered))
    without = [name for name in names if LINES[name].band95_h is None]
    if without:
        found.append("no published 95 % limits found, no interval shown: " + ", ".join(without))
    if longest_h > WARN_FROM_H:
        found.append("more than 100 h: at the end of the range of the formulae")
    return tuple(found)


def _urea_mg_dl(inputs: Inputs) -> float:
    """Urea in mg/dL, whichever of the two was measured; 0 where none was."""
    if inputs.has("urea_analyte") and not inputs.has("urea_mg_dL"):
        raise BadInput("urea_mg_dL", "give the value that was measured")
    if not inputs.has("urea_mg_dL"):
        return 0.0
    if not inputs.has("urea_analyte"):
        raise BadInput("urea_analyte", "say whether urea or urea nitrogen was measured")
    factor = UREA_PER_NITROGEN if inputs.text("urea_analyte") == UREA_NITROGEN else 1.0
    return factor * inputs.number("urea_mg_dL")


def compute(inputs: Inputs) -> Outcome:
    """Hours by the named formula, or by each of them when none is named."""
    potassium = inputs.number("potassium_mmol_L")
    if _urea_mg_dl(inputs) >= UREA_LIMIT_MG_DL:
        return refusal(
            "urea of 100 mg/dL or more (urea nitrogen of 47 mg/dL or more): retention before "
            "death, the formulae do not hold"
        )
    if not inputs.has("formula"):
        rows: list[Plain] = [_by_line(name, potassium) for name in LINES]
        longest = max(line.hours(potassium) for line in LINES.values())
        return Outcome(
            fields={"formulae": rows},
            unit="h",
            warnings=_warnings(list(LINES), longest),
            notes=("shown side by side, not averaged",),
        )
    name = inputs.text("formula")
    fields = _by_line(name, potassium)
    hours = LINES[name].hours(potassium)
    reason = _no_estimate(hours)
    if reason:
        return refusal(reason, fields=fields, warnings=_warnings([name], hours))
    low, high = fields["low_h"], fields["high_h"]
    interval = None
    if isinstance(low, float) and isinstance(high, float):
        interval = Interval(low, high, "95 %")
    return Outcome(
        fields=fields,
        value=hours,
        unit="h",
        interval=interval,
        warnings=_warnings([name], hours),
    )


METHOD = define(
    __doc__,
    name="vitreous_potassium",
    title="Time since death from vitreous potassium",
    version="1.1",
    fields=(
        Field(
            "potassium_mmol_L",
            Kind.NUMBER,
            "Potassium of the vitreous humor.",
            unit="mmol/L",
            required=True,
            above=0,
            maximum=100,
        ),
        Field(
            "formula",
            Kind.CHOICE,
            "Which published line to use; all side by side if not given.",
            choices=tuple(LINES),
        ),
        Field(
            "urea_mg_dL",
            Kind.NUMBER,
            "Urea or urea nitrogen of the vitreous humor, if measured.",
            unit="mg/dL",
            minimum=0,
            maximum=5000,
        ),
        Field(
            "urea_analyte",
            Kind.CHOICE,
            "Which of the two was measured; needed with a value.",
            choices=(UREA, UREA_NITROGEN),
        ),
    ),
    result_fields=(
        ResultField("t_h", "h", "Hours since death by the formula."),
        ResultField("estimate", "h", "The same when it may be reported, null when refused."),
        ResultField("band95_h", "h", "Half width of the 95 % limits shown, where published."),
        ResultField("stated_band95_h", "h", "Half width that the authors themselves gave."),
        ResultField("low_h", "h", "Lower end, not below 0."),
        ResultField("high_h", "h", "Upper end."),
        ResultField("report", "", "Why there is no estimate."),
        ResultField("provenance", "", "Where the coefficients come from."),
        ResultField("formulae", "", "The same fields for each formula when none is named."),
    ),
    example={"potassium_mmol_L": 8.0, "formula": "madea1989"},
    compute=compute,
)
