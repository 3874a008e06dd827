"""Published organ weights of adults: the table behind `organ_weights`.

Grams throughout. Each row says where its figures come from. A figure 'from memory' is kept apart
from the confirmed ones and is never used to place a weight.
"""

from __future__ import annotations

from dataclasses import dataclass

MEN_I = "published: Molina and DiMaio, Am J Forensic Med Pathol 2012;33:362-367, abstract"
MEN_II = "published: Molina and DiMaio, Am J Forensic Med Pathol 2012;33:368-372, abstract"
WOMEN_II = "published: Molina and DiMaio, doi 10.1097/PAF.0000000000000175 (2015), abstract"
WOMEN_I = "from memory, doubtful: Molina and DiMaio, Am J Forensic Med Pathol 2015;36:176-181"
POPULATION = {
    "male": "healthy men of 18 to 35 years, sudden traumatic death, n = 232, 146-193 cm, "
    "48.5-153 kg (Bexar County, Texas)",
    "female": "healthy women of 18 to 35 years, sudden traumatic death, n = 102, 141-182 cm, "
    "35.9-152 kg (Bexar County, Texas)",
}
AGE_RANGE_YEARS = (18.0, 35.0)


@dataclass(frozen=True)
class OrganRow:
    """One organ in one sex: mean, observed range, and SD and 95 % range where published."""

    mean_g: float
    observed_g: tuple[float, float] | None
    provenance: str
    sd_g: float | None = None
    reference95_g: tuple[float, float] | None = None
    remembered95_g: tuple[float, float] | None = None

    @property
    def is_confirmed(self) -> bool:
        """Whether mean and observed range come from a source that was seen."""
        return self.observed_g is not None and self.provenance.startswith("published")


ORGANS = {
    "male": {
        "heart": OrganRow(331, (188, 575), MEN_I, sd_g=56.7, reference95_g=(233, 383)),
        "brain": OrganRow(1407, (1070, 1767), MEN_II, remembered95_g=(1179, 1621)),
        "liver": OrganRow(1561, (838, 2584), MEN_II, remembered95_g=(968, 1860)),
        "spleen": OrganRow(139, (43, 344), MEN_II, remembered95_g=(28, 226)),
        "right_lung": OrganRow(445, (185, 967), MEN_II, remembered95_g=(155, 720)),
        "left_lung": OrganRow(395, (186, 885), MEN_II, remembered95_g=(112, 675)),
        "right_kidney": OrganRow(129, (79, 223), MEN_II, remembered95_g=(81, 160)),
        "left_kidney": OrganRow(137, (74, 235), MEN_II, remembered95_g=(83, 176)),
    },
    "female": {
        "heart": OrganRow(245, None, WOMEN_I, remembered95_g=(148, 296)),
        "brain": OrganRow(1233, (1000, 1618), WOMEN_II),
        "liver": OrganRow(1288, (775, 2395), WOMEN_II),
        "spleen": OrganRow(115, (51, 275), WOMEN_II),
        "right_lung": OrganRow(340, (142, 835), WOMEN_II),
        "left_lung": OrganRow(299, (108, 736), WOMEN_II),
        "right_kidney": OrganRow(108, (67, 261), WOMEN_II),
        "left_kidney": OrganRow(116, (55, 274), WOMEN_II),
    },
}
ORGAN_NAMES = tuple(ORGANS["male"])

# de la Grandmaison et al., Forensic Sci Int 2001;119:149-154 (684 autopsies of adults, France):
# means as quoted on a public health page; the paper's tables were not opened.
OTHER_POPULATION = "684 French forensic autopsies of adults, Forensic Sci Int 2001;119:149-154"
OTHER_MEANS_G = {
    "male": {
        "heart": 365.0,
        "liver": 1677.0,
        "right_lung": 663.0,
        "left_lung": 583.0,
        "right_kidney": 162.0,
    },
    "female": {
        "heart": 312.0,
        "liver": 1475.0,
        "right_lung": 546.0,
        "left_lung": 467.0,
        "right_kidney": 135.0,
    },
}
