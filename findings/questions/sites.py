"""Which parts of the body a finding concerns: by its marks, its layers, its path and its words.

A site is a word of `negatives` ("scalp", "ribs", "hyoid"). Marks count first; words are read
for what has no mark, as whole words. A fracture concerns the bone beneath a region and not its
skin; a term that names something deep ("Subdural hemorrhage") does not concern the skin above.
Common practice. No database, no clock.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from types import MappingProxyType
from typing import Final

Sites = frozenset[str]
NOWHERE: Final[Sites] = frozenset()

BREAK: Final = re.compile(
    r"\b(fractur\w*|dislocat\w*|broken|subluxat\w*|diastasis|flail|transection of (the )?spine)\b",
    re.I,
)


def _table(text: str) -> dict[str, Sites]:
    """Rows "name, name: site, site" as a table by name."""
    found: dict[str, Sites] = {}
    for row in filter(None, (line.strip() for line in text.splitlines())):
        names, _, sites = row.partition(":")
        held = frozenset(one.strip() for one in sites.split(",") if one.strip())
        for name in names.split(","):
            found[name.strip()] = found.get(name.strip(), NOWHERE) | held
    return found


# The skin of each region of the body surface.
SKIN: Final = MappingProxyType(
    _table(
        """
        frontal_scalp, parietal_scalp, temporal_scalp, occipital_scalp: scalp
        forehead, cheek, chin, jaw: face
        orbital: face, eyelids
        nose: face, nose
        upper_lip, lower_lip: face, lips
        ear: ears
        submental, neck_anterior, neck_lateral: neck
        neck_posterior: neck, back of neck
        clavicular, sternal, lower_chest, lateral_chest, axilla: chest
        pectoral: chest, breasts
        abdomen_upper, abdomen_lower, flank, inguinal, pubic: abdomen
        genital: genitals
        perianal: anus
        back_upper, back_mid, back_lower, sacral: back
        buttock: buttocks
        shoulder, upper_arm_anterior, upper_arm_posterior, antecubital, elbow: arms
        forearm_anterior, forearm_posterior, wrist: arms
        palm, hand_dorsum, thumb, index, middle, ring, little: hands
        hip, thigh_anterior, thigh_medial, thigh_posterior, knee, popliteal: legs
        leg_anterior, leg_posterior, ankle: legs
        heel, foot_dorsum, sole, great_toe, lesser_toes: feet
        """
    )
)
# The bone beneath each region.
BONE: Final = MappingProxyType(
    _table(
        """
        frontal_scalp, parietal_scalp, temporal_scalp, occipital_scalp, forehead, ear: skull
        orbital, nose, cheek, upper_lip, lower_lip, chin, jaw: facial bones
        nose: nasal bones
        submental, neck_anterior: hyoid, larynx
        neck_lateral: hyoid, larynx, cervical spine, spine
        neck_posterior: cervical spine, spine
        sternal: sternum
        pectoral, lower_chest, lateral_chest, axilla: ribs
        clavicular, shoulder: limb bones
        back_upper, back_mid: ribs, spine
        back_lower: spine
        sacral: spine, pelvis
        inguinal, pubic, buttock, hip: pelvis
        hip: limb bones
        upper_arm_anterior, upper_arm_posterior, antecubital, elbow: limb bones
        forearm_anterior, forearm_posterior, wrist: limb bones
        palm, hand_dorsum, thumb, index, middle, ring, little: limb bones
        thigh_anterior, thigh_medial, thigh_posterior, knee, popliteal: limb bones
        leg_anterior, leg_posterior, ankle: limb bones
        heel, foot_dorsum, sole, great_toe, lesser_toes: limb bones
        """
    )
)
# Soft tissue beneath a region, for layers under the skin.
BENEATH: Final = MappingProxyType(
    _table(
        """
        neck_anterior, neck_lateral, submental: strap muscles, neck layers
        neck_posterior: back of neck layers
        back_upper, back_mid, back_lower, sacral, buttock: back layers
        shoulder, upper_arm_anterior, upper_arm_posterior, antecubital, elbow: limb layers
        forearm_anterior, forearm_posterior, wrist, palm, hand_dorsum: limb layers
        hip, thigh_anterior, thigh_medial, thigh_posterior, knee, popliteal: limb layers
        leg_anterior, leg_posterior, ankle, heel, foot_dorsum, sole: limb layers
        """
    )
)
# Parts of the schematic drawings by drawing; a part is matched by the beginning of its key.
PARTS: Final = MappingProxyType(
    {
        "skull_base": _table(
            """
            anterior_fossa, middle_fossa, posterior_fossa, cribriform, sella: skull, skull base
            clivus, petrous, foramen_magnum: skull, skull base
            skull_edge: skull
            """
        ),
        "skull": _table(
            """
            frontal, parietal, temporal, occipital, sphenoid, mastoid, ear_opening: skull
            zygomatic, orbit, maxilla, mandible: facial bones
            nasal: facial bones, nasal bones
            """
        ),
        "skeleton": _table(
            """
            skull, occipital_bone: skull
            orbit, maxilla, mandible: facial bones
            nasal_aperture: facial bones, nasal bones
            cervical: spine, cervical spine
            thoracic, lumbar: spine
            rib: ribs
            manubrium, sternum, xiphoid: sternum
            hip_bone: pelvis
            sacrum: spine, pelvis
            clavicle, scapula, humerus, ulna, radius, carpus, thumb, index, middle: limb bones
            ring, little, femur, patella, tibia, fibula, tarsus, toe, calcaneus: limb bones
            """
        ),
        "brain": _table(
            """
            frontal, parietal, temporal, occipital, cerebellum, brainstem, pons, medulla: brain
            chiasm: brain, pituitary
            olfactory: brain
            """
        ),
        "heart": _table(
            """
            superior_vena_cava, svc, aort, brachiocephalic, left_carotid: great vessels
            left_subclavian, inferior_vena_cava, ivc, pulmonary_vein: great vessels
            pulmonary_trunk, pulmonary_artery: great vessels, pulmonary arteries
            right_atrium, left_atrium, right_ventricle, left_ventricle, left_auricle: heart
            coronary_sinus: heart
            lad, rca, left_main, circumflex, posterior_descending: coronaries
            """
        ),
        "mouth": _table(
            """
            upper_lip, lower_lip: lips
            cheek_mucosa, hard_palate, soft_palate: oral mucosa
            oropharynx: oral mucosa, airway
            upper_tooth, lower_tooth: teeth
            tongue: tongue
            upper_frenulum, lower_frenulum: frenula
            """
        ),
        "neck": _table(
            """
            sternocleidomastoid, strap_muscles: strap muscles, neck layers
            carotid_sheath: neck vessels, neck layers
            tongue_base: tongue
            hyoid: hyoid
            thyrohyoid, thyroid_lamina, thyroid_horn, cricothyroid, cricoid: larynx
            tracheal: airway
            thyroid_lobe, thyroid_isthmus: thyroid
            """
        ),
        "perineum": _table(
            """
            thigh_medial: legs
            buttock: buttocks
            pubic: abdomen
            mons, labium, clitoral, vestibule, urethral, hymen, fourchette: genitals, vulva
            scrotum: genitals, scrotum
            penis, glans: genitals, penis
            perineal_body: genitals
            anus, anal: anus
            """
        ),
        "torso": _table(
            """
            trachea: airway
            right_lung, left_lung: lungs
            great_vessels: great vessels
            heart: heart
            diaphragm: diaphragm
            liver: liver
            gallbladder: gallbladder
            esophagus: esophagus
            stomach: stomach
            spleen: spleen
            transverse_colon, ascending_colon, descending_colon, small_intestine, appendix: bowel
            pancreas: pancreas
            bladder: bladder
            thymus: thymus
            """
        ),
        "retroperitoneum": _table(
            """
            spine: spine
            adrenal: adrenals
            kidney, ureter: kidneys
            vena_cava, aorta, iliac_vessels: great vessels
            bladder: bladder
            """
        ),
    }
)
# Words for the skin, with the bone beneath: what people type who place no mark.
_SURFACE_WORDS: Final = (
    (r"scalp|back of (?:the )?head|crown|vertex|hairline", "scalp", "skull"),
    (r"occiput|(?:occipital|parietal|temporal)(?! (?:bone|lobe))|temple", "scalp", "skull"),
    (r"forehead|frontal region|brow", "face", "skull"),
    (r"face|facial|cheeks?|(?<!beneath the )(?<!below the )(?<!under the )chin|jaw|zygoma\w*|malar"
     r"|periorbital|eyebrow", "face", "facial bones"),
    (r"eyelids?|orbital region|orbits?|black eye", "face, eyelids", "facial bones"),
    (r"conjunctiva\w*|palpebral", "conjunctivae", ""),
    (r"eyes?(?!brow|lid)", "conjunctivae, sclerae, eyelids", ""),
    (r"sclera\w*|(?:sub)?conjunctival hemorrhages?", "sclerae", ""),
    (r"nose|nasal(?! septum)|nostrils?", "face, nose", "facial bones, nasal bones"),
    (r"nasal septum|septum of (?:the )?nose", "nasal septum", "nasal bones"),
    (r"lips?", "face, lips", ""),
    (r"frenul\w+|frenum", "frenula", ""),
    (r"mouth|oral|buccal|palate|gums?|gingiva\w*", "oral mucosa", "teeth"),
    (r"tongue", "tongue", ""),
    (r"tooth|teeth|incisors?|canines?|molars?", "teeth", "teeth"),
    (r"ears?|auricles?|pinna|earlobes?", "ears", "skull"),
    (r"ear canals?|auditory canals?", "ear canals", "skull"),
    (r"neck|throat|cervical(?! spine| vertebra\w*)", "neck", "cervical spine, spine"),
    (r"(?:beneath|below|under) the chin|submental|submandibular", "neck", ""),
    (r"nape|posterior neck|back of (?:the )?neck", "neck, back of neck", "cervical spine, spine"),
    (r"(?<!posterior )(?<!back of )(?<!back of the )(?:chest|thorax)", "chest", "ribs"),
    (r"thoracic wall|pectoral|axilla\w*|armpits?", "chest", "ribs"),
    (r"(?:posterior|back of(?: the)?) (?:chest|thorax|trunk)", "back", "ribs, spine"),
    (r"breasts?|nipples?|areola", "chest, breasts", "ribs"),
    (r"abdomen|abdominal|belly|flanks?|groins?|inguinal|umbilic\w+|navel", "abdomen", "pelvis"),
    (r"(?:upper|lower) quadrants?|[LR][UL]Q", "abdomen", ""),
    (r"epigastri\w+|hypogastri\w+|pubic", "abdomen", "pelvis"),
    (r"genital\w*|perineum|perineal", "genitals", ""),
    (r"penis|penile|glans|foreskin", "genitals, penis", ""),
    (r"scrot\w+", "genitals, scrotum", ""),
    (r"vulva\w*|labi\w+|vagina\w*|hymen\w*|fourchette|introitus", "genitals, vulva", ""),
    (r"anus|anal|perianal", "anus", ""),
    (r"(?<!palm and )back(?! of)|scapular|infrascapular|lumbar|loins?|shoulder blades?", "back",
     "spine, ribs"),
    (r"interscapular|sacral", "back", "spine"),
    (r"buttocks?|gluteal", "buttocks", "pelvis"),
    (r"arms?|upper arms?|forearms?|shoulders?|elbows?|wrists?|antecubital", "arms", "limb bones"),
    (r"hands?|fingers?|thumbs?|knuckles?|palms?|palmar", "hands", "limb bones"),
    (r"(?:finger|thumb|toe)?nails?", "nails", "nails"),
    (r"legs?|thighs?|knees?|calf|calves|shins?|ankles?|popliteal|hips?", "legs", "limb bones"),
    (r"foot|feet|toes?|heels?|soles?|plantar", "feet", "limb bones"),
)  # fmt: skip
# Words for what lies deep.
_DEEP_WORDS: Final = (
    (r"skull|calvari\w+|cranium|cranial (?:vault|bones?)", "skull"),
    (r"(?:temporal|parietal|occipital|frontal|sphenoid|petrous) bones?", "skull"),
    (r"(?:sagittal|coronal|lambdoid|metopic|squamous) sutures?|diastatic", "skull"),
    (r"skull base|base of (?:the )?skull|basilar|hinge fractures?|cranial fossa\w*"
     r"|orbital (?:plates?|roofs?)", "skull, skull base"),
    (r"mandible|maxilla|zygomatic bone|facial bones?|orbital floor|Le Fort", "facial bones"),
    (r"nasal bones?", "nasal bones, facial bones"),
    (r"subgaleal|galea\w*", "scalp"),
    (r"dural?", "dura"),
    (r"epidural|extradural", "epidural"),
    (r"subdural", "subdural"),
    (r"subarachnoid", "subarachnoid"),
    (r"brain|cerebr\w+|cerebell\w+|brainstem|intraventricular|axonal|pons"
     r"|(?:contre)?coup contusions?|meningiomas?|gliomas?|glioblastomas?", "brain"),
    (r"(?:frontal|parietal|temporal|occipital) lobes?", "brain"),
    (r"pituitary", "pituitary"),
    (r"middle ears?|mastoid air cells", "middle ears"),
    (r"cervical (?:spine|vertebra\w*)|odontoid|atlas|atlanto-\w+|C[1-7]",
     "cervical spine, spine"),
    (r"spine|spinal|vertebra\w*|T1[0-2]|T[1-9]|L[1-5]", "spine"),
    (r"ribs?|flail chest", "ribs"),
    (r"sternum|sternal fracture|manubrium", "sternum"),
    (r"pelvi\w+|sacrum|iliac (?:bones?|wings?)|pubic ram\w+|acetabul\w+", "pelvis"),
    (r"femur|tibia|fibula|humerus|radius|ulna|clavicles?|patella|metacarp\w+|phalan\w+",
     "limb bones"),
    (r"hyoid", "hyoid"),
    (r"laryn\w+|thyroid (?:cartilage|lamina|horn)s?|cricoid|superior horns?", "larynx"),
    (r"strap muscles?|sternohyoid|sternothyroid|omohyoid|thyrohyoid|sternocleidomastoid\w*",
     "strap muscles, neck layers"),
    (r"suboccipital muscles?|posterior neck hemorrhage", "back of neck layers"),
    (r"paraspinal muscles?", "back layers"),
    (r"thyroid gland|thyroid lobes?|goiter", "thyroid"),
    (r"carotid|jugular", "neck vessels"),
    (r"airways?|trachea\w*|bronch\w+|larynx|glottis|epiglottis|windpipe", "airway"),
    (r"esophag\w+", "esophagus"),
    (r"heart|cardiac|myocard\w+|ventric(?:le|les|ular)|atri(?:um|a|al)|epicard\w+", "heart"),
    (r"(?:mitral|aortic|tricuspid|pulmonary) valves?|heart valves?|endocarditis", "valves"),
    (r"coronar\w+|left anterior descending|circumflex|LAD|RCA|LCX", "coronaries"),
    (r"aort(?:a|ic)(?! valve)|vena cava|subclavian|great vessels", "great vessels"),
    (r"pulmonary (?:thrombo\w+|embol\w+|arter\w+|trunk)|saddle embol\w+", "pulmonary arteries"),
    (r"lungs?|pulmonary(?! valve| arter\w+| trunk)|\w*pneumonia|lobar", "lungs"),
    (r"pleura\w*|hemothorax|pneumothorax|chest cavit\w+", "pleura"),
    (r"pericardi\w+|hemopericardium|tamponade", "pericardium"),
    (r"peritone\w+|hemoperitoneum|ascites|abdominal cavity", "peritoneum"),
    (r"adhesions?", "adhesions"),
    (r"diaphragm\w*", "diaphragm"),
    (r"liver|hepatic|cirrhosis", "liver"),
    (r"gallbladder|gallstones?|chole(?:lithiasis|cystitis)", "gallbladder"),
    (r"spleen|splenic", "spleen"),
    (r"pancrea\w+", "pancreas"),
    (r"kidneys?|renal|ureters?", "kidneys"),
    (r"adrenals?", "adrenals"),
    (r"stomach|gastric", "stomach"),
    (r"bowels?|intestin\w+|colon|duoden\w+|jejun\w+|ile(?:um|al)|appendix|mesenter\w+"
     r"|sigmoid|cecum|rectum", "bowel"),
    (r"(?:urinary )?bladder", "bladder"),
    (r"uterus|uterine|ovar\w+|fallopian", "uterus"),
    (r"prostat\w+|testis|testes|testic\w+", "prostate"),
    (r"thymus", "thymus"),
    (r"lymph nodes?|lymphadenopathy", "lymph nodes"),
)  # fmt: skip
# Bones close beneath the skin: a wound of the skin is often placed by them.
_LANDMARKS: Final = (
    (r"sternum|manubrium|xiphoid|clavicles?|clavicular|collarbones?|ribs?", "chest"),
    (r"scapulae?|sacrum|coccyx|coccygeal", "back"),
    (r"mandible|maxilla", "face"),
    (r"humerus|olecranon|radius|ulna", "arms"),
    (r"femur|trochanter\w*|patella|tibia\w*|fibula|malleol\w+", "legs"),
)
# Terms that say by themselves where they are, unless the place says otherwise.
_TERMS: Final = (
    (r"ligature (?:furrow|mark)s?", "neck",
     r"wrists?|arms?|elbows?|hands?|legs?|thighs?|knees?|ankles?|feet|trunk|chest|abdomen|waist"),
    (r"(?<!pelvic )ring fractures?", "skull, skull base", r"pelvi\w+"),
    (r"bumper fractures?", "limb bones", ""), (r"aspiration", "airway", ""),
)  # fmt: skip


def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{pattern})\b", re.IGNORECASE)


def _set(text: str) -> Sites:
    return frozenset(one.strip() for one in text.split(",") if one.strip())


_ON_SKIN: Final = tuple((_compiled(words), _set(skin)) for words, skin, _ in _SURFACE_WORDS)
_BENEATH_SKIN: Final = tuple((_compiled(words), _set(bone)) for words, _, bone in _SURFACE_WORDS)
_DEEP: Final = tuple((_compiled(words), _set(sites)) for words, sites in _DEEP_WORDS)
_UNDER_SKIN: Final = tuple((_compiled(words), _set(skin)) for words, skin in _LANDMARKS)
_BY_TERM: Final = tuple(
    (_compiled(words), _set(sites), _compiled(unless or r"(?!)")) for words, sites, unless in _TERMS
)
# What is seen on the skin, whatever bone it is placed by.
_OF_SKIN: Final = _compiled(
    r"abrasions?|contusions?|bruis\w+|ecchymos[ei]s|hematomas?|lacerations?|wounds?|burns?|scald"
    r"|stippling|imprint|marks?|pressure injury|petechiae|exit|degloving|avulsion"
)


# Asked of each of a hundred statements for each finding, on every page that shows them.
@lru_cache(maxsize=1024)
def deep_sites(words: str) -> Sites:
    """The deep sites that words name: "left fifth rib" is ribs, "Calvarium" is skull."""
    return _named_in(words, _DEEP)


@lru_cache(maxsize=1024)
def surface_sites(words: str, *, broken: bool = False) -> Sites:
    """The parts of the skin that words name, or for a fracture the bones beneath them."""
    return _named_in(words, _BENEATH_SKIN if broken else _ON_SKIN)


def _named_in(words: str, rows: Iterable[tuple[re.Pattern[str], Sites]]) -> Sites:
    return frozenset().union(*(sites for seen, sites in rows if seen.search(words)))


def landmark_sites(term: str, place: str) -> Sites:
    """The skin over the bones that the place of a wound of the skin names."""
    if not _OF_SKIN.search(term):
        return NOWHERE
    return _named_in(place, _UNDER_SKIN)


def term_sites(term: str, place: str) -> Sites:
    """The sites that a term names by itself where its place speaks of no other."""
    found = (
        sites for seen, sites, other in _BY_TERM if seen.search(term) and not other.search(place)
    )
    return frozenset().union(*found)


def region_sites(bases: Iterable[str], *, broken: bool = False) -> Sites:
    """The sites of regions of the body surface, by their keys without the side."""
    table = BONE if broken else SKIN
    return frozenset().union(*(table.get(base, NOWHERE) for base in bases))


def part_sites(view: str, part: str) -> Sites:
    """The sites of a part of a schematic drawing; no key of a table begins another."""
    group = next((one for one in PARTS if view.startswith(one)), "")
    table = PARTS.get(group, {})
    return next((sites for name, sites in table.items() if part.startswith(name)), NOWHERE)
