"""Does the site of a specimen go with the sex that is on record? Asked, never refused. Pure.

A wrong case, a wrong line of a kit or a wrong sex on record are found by the question; transplants,
earlier operations, differences of sex development and samples of another person are answers to it.
The names of organs are anatomy; when to ask is common practice.
"""

from __future__ import annotations

import re

from me_office.statements import COMMON_PRACTICE, statement

ASKED = statement(
    "specimens.site-and-sex",
    "The decedent is recorded as {sex}, and this names “{organ}”. Check the case, the site and the "
    "recorded sex; if all are right, say why here.",
    where="Specimens",
    source=COMMON_PRACTICE,
)
# Whole words. "Cervix" is the uterus's; "cervical" alone is mostly the neck's, "labial" the lips'.
_FEMALE = re.compile(
    r"\b(?:vagina|vaginal|cervicovaginal|vulva|vulvar|vulval|labia majora|labia minora|"
    r"labium majus|labium minus|cervix|endocervix|endocervical|ectocervix|"
    r"ectocervical|cervical os|uterus|uterine|endometri(?:um|al)|myometri(?:um|al)|"
    r"ovar(?:y|ies|ian)|fallopian|hymen|hymenal|clitoris|introitus|posterior fourchette)\b"
)
_MALE = re.compile(
    r"\b(?:penis|penile|glans|foreskin|prepuce|scrotum|scrotal|testis|testes|testicles?|"
    r"testicular|epididym(?:is|al)|prostate|prostatic|seminal vesicles?|vas deferens|"
    r"spermatic cord)\b"
)
# What bears one of these words and is not the decedent's own organ.
_ANOTHERS = re.compile(
    r"\b(?:prostate[- ]specific antigen|maternal \w+|"
    r"\w+ of the mother)\b"
)
_NAMES = (("male", _FEMALE), ("female", _MALE))


def site_question(sex: str, *words: str) -> str:
    """Ask where material or site names an organ that goes with the other sex; empty otherwise."""
    said = " ".join(" ".join(words).lower().split())
    for recorded, other in _NAMES:
        found = other.search(_ANOTHERS.sub(" ", said)) if sex == recorded else None
        if found:
            return ASKED.say(sex=sex, organ=found[0])
    return ""
