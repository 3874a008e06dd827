"""What of a rule of completeness is missing in a case, in words. No database, no clock.

Each function returns what is missing, or nothing where the record has it. Words are looked for
only where nothing else could tell: common practice.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from types import MappingProxyType
from typing import Final

from cases.checking.applies import FIREARM, SHARP, burns_in, injuries_by, on_trunk, tracks_in
from cases.checking.facts import Facts, Injury

NOT_RECORDED: Final = "not recorded"
NOT_WRITTEN: Final = "not written"
_RADIOGRAPHS: Final = re.compile(
    r"\b(?:radiograph\w*|x-?rays?|computed tomograph\w*|CT|fluoroscop\w*|skeletal survey)\b", re.I
)
_HAIR_AND_EYES: Final = (
    re.compile(r"\bhair(?:s|ed)?\b|\bbald\b", re.I),
    re.compile(r"\b(?:iris(?:es)?|irides|eyes?|corneas?)\b", re.I),
)
_TEETH: Final = re.compile(r"\b(?:teeth|tooth|denture\w*|dentition|edentulous)\b", re.I)
_MARKS: Final = re.compile(r"\b(?:scars?|tattoos?|piercings?|birthmarks?|amputat\w+)\b", re.I)
_HEAD: Final = re.compile(r"\b(?:scalp|skull|calvari\w+|brain|dura\w*)\b", re.I)
_NECK: Final = re.compile(
    r"\b(?:neck|hyoid|laryn\w+|strap muscles?|thyroid|airway|trachea)\b", re.I
)
_CAVITY: Final = re.compile(
    r"\b(?:cavit(?:y|ies)|pleura\w*|periton\w+|pericardi\w+|adhesions?|hemothorax|ascites)\b", re.I
)
_FOR_MICROSCOPY: Final = re.compile(r"histolog|tissue|microscop", re.I)
_HEART_AND_MORE: Final = ("brain", "heart", "liver", "spleen")
_OTHER_CHANGE: Final = re.compile(
    r"\b(?:decompos\w+|putrefact\w+|marbling|skin slip\w*|bloat\w*|discolor\w+|mummif\w+|adipocere"
    r"|embalm\w+|drying|insects?|larva\w*|maggots?|skeletoni\w+|autoly\w+)\b",
    re.I,
)


def _unless(there: object, otherwise: str = NOT_RECORDED) -> str:
    return "" if there else otherwise


def _numbers(rows: Iterable[Injury], what: str) -> str:
    numbers = sorted(one.number for one in rows)
    if not numbers:
        return ""
    shown = ", ".join(map(str, numbers[:12])) + (" and more" if len(numbers) > 12 else "")
    return f"{what}: finding{'' if len(numbers) == 1 else 's'} {shown}"


def _first_report(facts: Facts) -> str:
    return _unless(facts.called and facts.circumstances.strip(), "the circumstances as first told")


def _known_alive(facts: Facts) -> str:
    left = [
        words
        for words, there in (("last known alive", facts.last_alive), ("found by", facts.found_by))
        if not there
    ]
    return ", ".join(left)


def _identity(facts: Facts) -> str:
    if facts.identity == "unknown" and facts.identity_method in ("", "none"):
        return "no step of identification"
    return _unless(facts.identity_method not in ("", "none"), "the method")


def _for_unidentified(facts: Facts) -> str:
    tried = set(facts.identity_tried)
    taken = any(re.search(r"\bDNA|genetic", one.purpose, re.I) for one in facts.specimens)
    reported = any(one.kind in ("odontology", "genetic") for one in facts.results)
    there = tried & {"fingerprints", "dental", "dna", "radiograph"} or taken or reported
    return _unless(there, "fingerprints, dental or DNA comparison, or a DNA specimen")


def _clothing(facts: Facts) -> str:
    return _unless(facts.clothing.strip() or facts.clothing_kept)


def _trace(facts: Facts) -> str:
    words = re.search(r"\b(?:trace|swabs?|tape lifts?|fibers?|bagged)\b", facts.written, re.I)
    hands = any(re.search(r"nail|trace|swab", one.material, re.I) for one in facts.specimens)
    return _unless(facts.trace_kept or words or hands or facts.kits)


def _physical(facts: Facts) -> str:
    hair, eyes = (one.search(facts.external) for one in _HAIR_AND_EYES)
    left = [words for words, there in (("hair", hair), ("eyes", eyes)) if not there]
    return ", ".join(left)


def _lividity(facts: Facts) -> str:
    named = re.search(r"\bliv(?:idity|or)\b", facts.postmortem, re.I)
    return _unless(facts.lividity or named)


def _rigor(facts: Facts) -> str:
    return _unless(facts.rigor or re.search(r"\brigor\b", facts.postmortem, re.I))


def _other_change(facts: Facts) -> str:
    return _unless(_OTHER_CHANGE.search(facts.written))


def _treatment(facts: Facts) -> str:
    return _unless(
        facts.interventions or facts.treatment.strip(), "neither recorded nor stated as absent"
    )


def _marks(facts: Facts) -> str:
    return _unless(
        facts.identifying or _MARKS.search(facts.external), "neither recorded nor denied"
    )


def _assault_kit(facts: Facts) -> str:
    swabs = any(re.search(r"\bswab", one.material, re.I) for one in facts.specimens)
    return _unless(swabs or "sexual assault" in facts.kits, "no kit and no swabs")


def _weights(facts: Facts) -> str:
    weighed = set(facts.organs)
    left = [one for one in _HEART_AND_MORE if one not in weighed]
    if "lungs combined" not in weighed:
        left += [f"{side} lung" for side in ("right", "left") if f"{side} lung" not in weighed]
    left += [f"{side} kidney" for side in ("right", "left") if f"{side} kidney" not in weighed]
    return ", ".join(left)


def _paths(facts: Facts) -> str:
    return _numbers((one for one in tracks_in(facts) if not one.traced), "no path or layer")


def _projectiles(facts: Facts) -> str:
    inside = re.search(r"\b(?:projectile|bullet|slug|pellet|exit)\w*\b", facts.written, re.I)
    shot = injuries_by(facts, FIREARM)
    through = any(one.is_exit or re.search(r"exit|graze", one.term, re.I) for one in shot)
    return _unless(
        facts.projectiles_kept or through or inside,
        "no projectile, no exit, and nothing is said of either",
    )


def _inside(facts: Facts) -> str:
    return _unless(facts.internal.strip() or any(one.traced for one in facts.injuries), NOT_WRITTEN)


def _radiographs(facts: Facts) -> str:
    there = any(one.kind == "radiology" for one in facts.results)
    return _unless(there or _RADIOGRAPHS.search(facts.written), "no radiograph or scan named")


def _specimens(facts: Facts) -> str:
    said = re.search(r"\bno specimens?\b|\bnot (?:taken|collected)\b", facts.written, re.I)
    return _unless(any(one.by_office for one in facts.specimens) or facts.kits or said, "none")


def _sites(facts: Facts) -> str:
    without = [one for one in facts.specimens if one.by_office and not one.site.strip()]
    return f"{len(without)} without a site" if without else ""


def _tissue(facts: Facts) -> str:
    kept = any(
        re.search(r"histolog|tissue|microscop", one.purpose, re.I) for one in facts.specimens
    )
    reported = any(one.kind in ("histology", "neuropathology", "cardiac") for one in facts.results)
    return _unless(
        kept or reported or facts.slides or "cassettes" in facts.kits, "no tissue kept, no result"
    )


def _toxicology(facts: Facts) -> str:
    bare = [one for one in facts.results if one.kind == "toxicology" and not one.lines]
    return "values of the analytes" if bare else ""


def _collected(facts: Facts) -> str:
    numbers = facts.items_without_collector
    return _items(numbers, "collector or time")


def _sealed(facts: Facts) -> str:
    return _items(facts.items_without_seal, "seal")


def _items(numbers: tuple[int, ...], what: str) -> str:
    if not numbers:
        return ""
    shown = ", ".join(map(str, numbers[:8])) + (" and more" if len(numbers) > 8 else "")
    return f"{what}: item{'' if len(numbers) == 1 else 's'} {shown}"


def _internal(facts: Facts) -> str:
    return _unless(facts.internal.strip(), NOT_WRITTEN)


def _when_and_where(facts: Facts) -> str:
    asked = (("end time", facts.ended), ("place", facts.place))
    return ", ".join(words for words, there in asked if not there)


def _deep_neck(facts: Facts) -> str:
    return _unless(_NECK.search(facts.deep), "the dissection of the neck by layers")


LACKS: Final = MappingProxyType(
    {
        "first report": _first_report,
        "jurisdiction": lambda facts: _unless(facts.decided),
        "known alive": _known_alive,
        "pronounced": lambda facts: _unless(facts.pronounced),
        "agencies": lambda facts: _unless(facts.scene_agencies),
        "surroundings": lambda facts: _unless(facts.scene_surroundings),
        "scene photographs": lambda facts: _unless(facts.scene_photographs, "none"),
        "position": lambda facts: _unless(facts.scene_position),
        "scene changes": lambda facts: _unless(facts.scene_changes),
        "temperatures": lambda facts: _unless(facts.scene_temperatures),
        "scene marks": lambda facts: _unless(facts.scene_marks),
        "kind reason": lambda facts: _unless(facts.kind_reason.strip()),
        "pathologist": lambda facts: _unless(facts.pathologist),
        "circumstances": lambda facts: _unless(facts.circumstances_reviewed),
        "basis": lambda facts: _unless(facts.basis.strip() or facts.opinion.strip(), NOT_WRITTEN),
        "identity": _identity,
        "unidentified": _for_unidentified,
        "length": lambda facts: _unless(facts.length),
        "weight": lambda facts: _unless(facts.weight),
        "as received": lambda facts: _unless(
            facts.body_photographs or facts.external.strip(), "neither photographed nor described"
        ),
        "identification photograph": lambda facts: _unless(
            facts.identification_photographs, "none"
        ),
        "clothing": _clothing,
        "trace": _trace,
        "physical": _physical,
        "teeth": lambda facts: _unless(_TEETH.search(facts.external)),
        "marks": _marks,
        "treatment": _treatment,
        "lividity": _lividity,
        "rigor": _rigor,
        "other change": _other_change,
        "assault kit": _assault_kit,
        "placed": lambda facts: _numbers(
            (one for one in facts.injuries if not one.placed), "no place"
        ),
        "sized": lambda facts: _numbers(
            (one for one in facts.injuries if not one.sized), "no size"
        ),
        "described": lambda facts: _numbers(
            (one for one in facts.injuries if not one.described), "no description"
        ),
        "photographed": lambda facts: _numbers(
            (one for one in facts.injuries if not one.photographed), "not photographed"
        ),
        "with scale": lambda facts: _numbers(
            (one for one in facts.injuries if not one.with_scale), "no picture with a scale"
        ),
        "landmarks": lambda facts: _numbers(
            (one for one in on_trunk(facts) if not one.from_landmarks),
            "no height or distance from the midline",
        ),
        "range": lambda facts: _numbers(
            (
                one
                for one in injuries_by(facts, FIREARM)
                if not (one.soot and one.stippling) and not one.is_exit
            ),
            "soot or stippling not stated",
        ),
        "ends": lambda facts: _numbers(
            (one for one in injuries_by(facts, FIREARM) if not one.end_said),
            "entrance or exit not stated",
        ),
        "projectiles": _projectiles,
        "sharp sized": lambda facts: _numbers(
            (one for one in injuries_by(facts, SHARP) if not one.sized), "no size"
        ),
        "burns": lambda facts: _numbers(
            (one for one in burns_in(facts) if not (one.described and one.placed)),
            "appearance or distribution",
        ),
        "pattern scale": lambda facts: _numbers(
            (one for one in facts.injuries if one.patterned and not one.with_scale),
            "no picture with a scale",
        ),
        "cavities": lambda facts: _unless(
            facts.cavities.strip() or _CAVITY.search(facts.internal), NOT_WRITTEN
        ),
        "weights": _weights,
        "internal": _internal,
        "head": lambda facts: _unless(_HEAD.search(f"{facts.internal} {facts.deep}")),
        "neck": lambda facts: _unless(_NECK.search(f"{facts.internal} {facts.deep}")),
        "deep neck": _deep_neck,
        "paths": _paths,
        "inside": _inside,
        "radiographs": _radiographs,
        "specimens": _specimens,
        "sites": _sites,
        "tissue": _tissue,
        "toxicology": _toxicology,
        "collected": _collected,
        "sealed": _sealed,
        "when and where": _when_and_where,
        "cause": lambda facts: _unless(facts.manner, "not stated"),
        "injury items": lambda facts: ", ".join(facts.injury_items_left),
        "other items": lambda facts: ", ".join(facts.other_items_left),
    }
)  # fmt: skip
