"""Invented names, places and words, as varied as those of a county."""

from __future__ import annotations

import random
from dataclasses import dataclass


def _each(words: str) -> tuple[str, ...]:
    return tuple(words.split())


_ONSETS = _each(
    "b bl br c cl cr d dr f fl fr g gl gr h j k kn l m n p pl pr qu r s sc sh sk sl sm sn sp st "
    "str t th tr tw v w wh wr y z"
)
_MIDDLES = _each("a ae ai au e ea ee ei i ia ie o oa oo ou u ui y")
_CLOSES = _each(
    "b ck d f g l ld lf ll lm lt m mp n nd ng nk nn nt p r rd rg rk rl rm rn rt s sk st t th x"
)
_ENDINGS = _each(
    "a ard by en er ett ey field gate ham ick in ing land ley man mere ney on ow rick s sen shaw "
    "son stead ton wick wood worth y"
)
GIVEN = _each(
    "Ada Aldo Amos Anselm Beata Benno Bram Calla Cato Corin Dagny Dario Edda Eldon Emeric Enid "
    "Fenna Fox Gerda Greer Hale Hedda Ilse Ivo Jarl Joss Juna Kester Lark Leif Linnea Lorne Mads "
    "Maren Merle Milo Nadia Nils Oda Oren Orla Otis Perrin Petra Quill Ravi Rhea Rolf Runa Sanna "
    "Silas Sorrel Sunniva Tamsin Teo Thora Tilda Ulric Una Vance Vera Viggo Willa Wren Yara Zeno"
)
TOWNS = _each(
    "Tarnford Millrace Colder Stead Ashmere Fennhaven Larkwater Oxley Cross Dunmoor Harrow Weir "
    "Pellwick Saltern Brackenby Windle Corrie Market Thornley Eastmarch Gorsewell Kestrel Rise"
)
_ROADS = ["Road", "Street", "Lane", "Row", "Hill", "Drive", "Court", "Way"]
_CAUSES = [
    ("Fall", "a grain store", "accident", "Blunt force injuries of head and trunk"),
    ("Fall", "a stair", "accident", "Blunt force injury of head"),
    ("Collapse", "a kitchen", "natural", "Hypertensive and arteriosclerotic heart disease"),
    ("Found in bed", "a home", "natural", "Coronary artery disease"),
    ("Drowning", "a weir", "accident", "Drowning"),
    ("Collision", "a county road", "accident", "Multiple blunt force injuries"),
    ("Fire", "a workshop", "accident", "Inhalation of products of combustion"),
    ("Found outdoors", "a field path", "undetermined", "Undetermined"),
    ("Assault", "a car park", "homicide", "Stab wound of chest"),
    ("Hanging", "a barn", "suicide", "Hanging"),
    ("Overdose", "a flat", "accident", "Mixed drug toxicity"),
    ("Sudden death", "a workplace", "natural", "Pulmonary thromboembolism"),
]
SENTENCES = (
    "The doors stood open and the heating was off.",
    "A neighbor had spoken to the decedent the evening before.",
    "There was no disorder in the room and nothing was missing.",
    "The floor below the ladder was wet.",
    "Medicines stood on the table, their boxes nearly full.",
    "The clothing was dry except for the left sleeve.",
    "No petechiae are seen in the conjunctivae.",
    "The lips, teeth and frenula are free of injury.",
    "The airways are free, their lining is smooth and gray.",
    "The organs lie as usual and there are no adhesions.",
    "Lividity is on the back, blanches, and spares the places of support.",
    "The ribs are intact on both sides.",
)


@dataclass(frozen=True)
class Death:
    """What is said of one death in a few words."""

    heading: str
    place_kind: str
    manner: str
    cause: str


class Words:
    """Draws names and words; common ones more often than rare ones."""

    def __init__(self, chance: random.Random) -> None:
        self.chance = chance
        names = {self._family_name() for _ in range(6000)}
        self.families = sorted(names)
        chance.shuffle(self.families)
        self.roads = [f"{self._family_name()} {chance.choice(_ROADS)}" for _ in range(700)]

    def _family_name(self) -> str:
        draw = self.chance.choice
        first = draw(_ONSETS) + draw(_MIDDLES) + draw(_CLOSES)
        more = draw(_MIDDLES) + draw(_CLOSES) if self.chance.random() < 0.25 else ""
        return (first + more + draw(_ENDINGS)).capitalize()

    def family(self) -> str:
        """A family name: a few hundred are common, thousands are rare."""
        place = int(len(self.families) * self.chance.random() ** 2.2)
        return self.families[place]

    def given(self) -> str:
        """A given name."""
        return self.chance.choice(GIVEN)

    def person(self) -> str:
        """Somebody's whole name."""
        return f"{self.given()} {self.family()}"

    def address(self) -> str:
        """A road, a number and a town."""
        road, town = self.chance.choice(self.roads), self.chance.choice(TOWNS)
        return f"{road} {self.chance.randint(1, 240)}, {town}"

    def death(self) -> Death:
        """How somebody came to die."""
        what, where, manner, cause = self.chance.choice(_CAUSES)
        return Death(f"{what} at {where}", where, manner, cause)

    def text(self, sentences: int) -> str:
        """A few sentences."""
        return " ".join(self.chance.choices(SENTENCES, k=sentences))
