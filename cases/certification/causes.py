"""What a line of the cause of death names: a mechanism, an injury, drugs without a name. Pure.

Words are matched whole. A line that says what led to it ("shock due to a burst ulcer") is read from
its last link on, because that is its underlying part.
"""

from __future__ import annotations

import re
from collections.abc import Iterable


def _words(text: str) -> frozenset[str]:
    return frozenset(re.findall(r"\w+", text))


# Words that say how bad, how fast or which side, and nothing of what led to it.
_NEUTRAL = _words(
    """
    acute chronic subacute sudden terminal severe massive probable possible presumed likely
    progressive end stage endstage refractory congestive decompensated systolic diastolic
    left right ventricular biventricular bilateral hypoxic hypercapnic hypoxemic hypovolemic
    hemorrhagic cardiogenic septic distributive neurogenic circulatory cardiac
    cardiopulmonary pulmonary respiratory ventilatory hepatic renal liver kidney multiple
    multi organ multiorgan system systems multisystem brain cerebral uncal tonsillar
    transtentorial fatal lethal generalized metabolic lactic electrolyte and or of the
    unexpected nontraumatic spontaneous internal natural intractable vasoplegic global
    cardio cardiorespiratory pericardial
    """
)
# A mechanism says how life ended in everybody. Alone it is no underlying cause.
_MECHANISM_HEADS = (
    "arrest", "asystole", "pulseless electrical activity", "heart failure", "cardiac failure",
    "ventricular failure", "respiratory failure", "ventilatory failure", "renal failure",
    "kidney failure", "hepatic failure", "liver failure", "organ failure",
    "organ system failure", "organ dysfunction", "organ dysfunction syndrome",
    "myocardial failure", "pump failure", "insufficiency", "failure", "shock", "exsanguination",
    "hemorrhage", "blood loss", "sepsis", "septicemia", "fibrillation", "tachycardia",
    "bradycardia", "standstill", "hypotension", "tamponade", "bacteremia", "uremia", "coma",
    "brain death", "increased intracranial pressure", "raised intracranial pressure",
    "volume depletion", "bedridden state", "arrhythmia",
    "dysrhythmia", "hypoxia", "anoxia", "hypoxemia", "asphyxia", "acidosis",
    "anoxic encephalopathy", "hypoxic encephalopathy", "hypoxic ischemic encephalopathy",
    "anoxic ischemic encephalopathy", "hypoxic ischemic brain injury",
    "anoxic brain injury", "hypoxic brain injury", "anoxic injury", "edema",
    "imbalance", "electrolyte disorder", "hyperkalemia", "hypokalemia", "hyponatremia",
    "hypernatremia", "dehydration", "aspiration", "herniation", "coagulopathy",
    "disseminated intravascular coagulation", "failure to thrive", "debility", "frailty",
    "old age", "advanced age", "senescence", "natural causes", "natural cause",
    "unknown natural cause", "unknown natural causes", "natural disease", "sudden death",
    "sudden cardiac death", "cardiac death", "respiratory depression", "depression of respiration",
    "collapse",
)  # fmt: skip
# These mean a mechanism only with an organ before them, or only without one.
_NEEDS = {
    "edema": {"pulmonary", "cerebral", "brain"},
    "imbalance": {"electrolyte"},
    "insufficiency": _words("cardiac circulatory hepatic pulmonary renal respiratory ventilatory"),
    "standstill": {"cardiac"},
    "failure": {"circulatory", "multiorgan", "multisystem"},
}
_ONLY_AFTER = {
    "hemorrhage": _words("acute massive severe fatal internal uncontrolled"),
    "asphyxia": _words("acute fatal sudden probable possible"),
    "aspiration": _words("acute massive pulmonary probable possible"),
}
_LINKS = re.compile(
    r"\b(?:due to|because of|as a consequence of|caused by|secondary to|resulting from|"
    r"following|from|complicating|in the setting of|associated with|after)\b|[;:]"
)
_TRAILING = re.compile(r"\b(?:nos|unspecified|undetermined|unknown)$")

_INJURY = re.compile(
    r"\b(?:gunshot|gsw|shotgun|stab|stabbing|stabbed|incised|chop|"
    r"lacerations?|blunt (?:force|impact)|"
    r"injur(?:y|ies)|trauma|(?<!non )traumatic|wounds?|contusions?|"
    r"fractures?|drowning|submersion|immersion|hanging|"
    r"strangulation|asphyxia|asphyxiation|suffocation|smothering|choking|foreign body|"
    r"burns?|thermal|scald(?:s|ing)?|smoke inhalation|inhalation of smoke|carbon monoxide|"
    r"toxicity|intoxication|overdose|poisoning|hypothermia|hyperthermia|heat ?stroke|"
    r"electrocution|fall|fell|crash|collision|epidural (?:hematoma|hemorrhage)|"
    r"subdural (?:hematoma|hemorrhage)|decapitation|crush(?:ed|ing)?|explosion|"
    r"blast|struck|lightning|beat(?:en|ing)|battered|assault(?:ed)?|homicidal violence|"
    r"(?:compression of (?:the )?neck|neck compression)|ligature|overlay(?:ing)?|"
    r"(?:(?:cold|heat) exposure|exposure to (?:the )?(?:cold|heat))|maul(?:ed|ing)|"
    r"(?:dog|animal|snake|insect|spider) bites?|stings?|envenomation|concussion|bolus|"
    r"electric(?:al)? shock|dislocation)\b"
)
# The same words where they mean a disease.
_NO_INJURY = re.compile(
    r"\b(?:(?:acute |chronic )?(?:kidney|lung|liver|renal|myocardial|ischemic|reperfusion|anoxic|"
    r"hypoxic|anoxic brain|hypoxic brain|hypoxic ischemic brain|diffuse alveolar) injur(?:y|ies)|"
    r"pressure injur(?:y|ies)|pathologic(?:al)? fractures?|(?:birth|perinatal|intrapartum|"
    r"neonatal) asphyxia|surgical wounds?|water intoxication)\b"
)
# How it came about; by itself it names no injury.
_CIRCUMSTANCE = re.compile(
    r"^(?:(?:complications|consequences|sequelae|of|an?|the|accidental|unwitnessed|witnessed|"
    r"ground|same|level|standing|height|high|speed|motor|vehicle|vehicular|car|bicycle|motorcycle|"
    r"pedestrian|driver|passenger|traffic|road|physical) )*"
    r"(?:falls?|fell|fallen|crash|collision|accident|struck|beat(?:en|ing)|assault(?:ed)?|"
    r"explosion|jump(?:ed)?|run over)\b"
)
_NAMED_BESIDE = re.compile(
    r"\b(?:\w*(?:itis|osis|[ae]mia|oma|rhage|rrhea|pathy|plegia)|ruptur\w*|tears?|torn|embol\w*|"
    r"infarct\w*|disease|failure|pneumonia|syndrome|lightning|broken|bleed\w*)\b"
)
_TRANSPORT = re.compile(
    r"\b(?:car|cars|vehicle|vehicles|automobile|truck|van|bus|motorcycle|motorcyclist|moped|"
    r"scooter|bicycle|bicyclist|cyclist|pedestrian|train|tram|railway|aircraft|airplane|helicopter|"
    r"boat|ship|tractor|driver|passenger|traffic|collision|atv)\b"
)
_DRUG_EVENT = re.compile(
    r"\b(?:overdose|toxicity|intoxication|poisoning|drugs?|medications?|polypharmacy|substances?|"
    r"narcotism)\b"
)
# A line of these words alone names no drug.
_GENERIC = _words(
    """
    acute chronic fatal lethal accidental intentional suicidal probable possible suspected
    mixed multiple multi multidrug poly polydrug polysubstance polypharmacy combined
    combination several various unknown unspecified illicit illegal prescription prescribed
    recreational street drug drugs substance substances medication medications medicine
    medicines opioid opioids opiate opiates narcotic narcotics stimulant stimulants sedative
    sedatives hypnotic hypnotics benzodiazepine benzodiazepines barbiturate barbiturates
    antidepressant antidepressants overdose toxicity intoxication poisoning effects effect
    adverse toxic use abuse of by from due to with and or the a an in self administered
    ingestion injection intravenous oral related death reaction reactions narcotism
    """
)
# Alcohol is a name, but not of the drugs that a line speaks of beside it.
_ALCOHOL = frozenset({"alcohol", "ethanol"})
_UNNAMED_BESIDE = _words(
    """
    drug drugs medication medications substance substances opioid opioids opiate opiates
    narcotic narcotics stimulant stimulants sedative sedatives benzodiazepine benzodiazepines
    """
)
_ABBREVIATIONS = _words(
    """
    AAA AFIB AMI ARDS ASCVD BFI BFT CABG CAD CHF CHI CKD COPD CPA CVA DIC DKA DVT ESRD ETOH
    GIB GSW HCVD HTN ICH MI MODS MVA MVC NSTEMI OD PEA PNA SAH SBO SDH SIDS STEMI SUDI SUID
    TBI URI UTI VF VT
    """
)
_SIDS = re.compile(
    r"\b(?:sids|suid|sudi|sudden (?:unexpected |unexplained )?infant death(?: syndrome)?|"
    r"crib death|cot death)\b"
)
_EXCITED = re.compile(r"\bexcited[ -]?delirium\b")
# A line of these words alone says that the cause is still to come.
_PENDING = re.compile(
    r"^(?:(?:pending|deferred|await(?:ing|s|ed)|to be (?:determined|established|decided)|tbd|"
    r"to follow|under (?:investigation|study)|not yet (?:determined|known|established|decided))\b|"
    r"(?:(?:the|cause|manner|of|death|is|are|still|and|further|final|autopsy|toxicology|histology|"
    r"microscopy|neuropathology|laborator(?:y|ies)|police|investigations?|inquest|examinations?|"
    r"stud(?:y|ies)|tests?|results?|reports?) )+"
    r"(?:pending|deferred|awaited|to follow|to be (?:determined|established|decided)|tbd|"
    r"under (?:investigation|study)|not yet (?:determined|known|established|decided))$)"
)
# A line of these words alone says that there is no cause to state.
_NO_CAUSE = _words(
    """
    unknown undetermined undeterminable unascertained indeterminate unspecified unexplained
    not known ascertained determined could can cannot be is was the none na
    cause causes of death
    """
)
_ONLY_NAMES_CAUSE = _words("the cause causes of death is was be could can")


def plain(line: str) -> str:
    """The line in small letters with single spaces; hyphens and slashes as spaces."""
    return " ".join(re.sub(r"[^a-z0-9;:() ]", " ", line.lower()).split())


def underlying_part(line: str) -> str:
    """The last part of a line that says by itself what it is due to."""
    without_brackets = re.sub(r"\([^)]*\)", " ", plain(line))
    return " ".join(_LINKS.split(without_brackets)[-1].split())


def is_mechanism_only(line: str) -> bool:
    """Tell whether a line names a mechanism, with nothing that led to it."""
    words = _TRAILING.sub("", underlying_part(line)).strip().removeprefix("complications of ")
    for head in _MECHANISM_HEADS:
        if words != head and not words.endswith(f" {head}"):
            continue
        before = set(words.removesuffix(head).split())
        if before <= _ONLY_AFTER.get(head, _NEUTRAL):
            return bool(before & _NEEDS.get(head, before)) or head not in _NEEDS
    return False


def names_injury(text: str) -> bool:
    """Tell whether a text names an injury, a poisoning or another outer cause."""
    return bool(_INJURY.search(_NO_INJURY.sub(" ", plain(text))))


def is_circumstance_only(line: str) -> bool:
    """Tell whether a line says how something came about, and names no injury and no disease."""
    words = plain(line)
    found = _CIRCUMSTANCE.match(words)
    rest = words[found.end() :] if found else ""
    return found is not None and not names_injury(rest) and not _NAMED_BESIDE.search(rest)


def names_transport(text: str) -> bool:
    """Tell whether a text names a vehicle or traffic."""
    return bool(_TRANSPORT.search(plain(text)))


def names_no_drug(line: str) -> bool:
    """Tell whether a line is about drugs and names none of them."""
    words = plain(line)
    named = set(re.findall(r"[a-z]+", words))
    if named & _UNNAMED_BESIDE:
        named -= _ALCOHOL
    return bool(_DRUG_EVENT.search(words)) and named <= _GENERIC


def names_a_drug(lines: Iterable[str]) -> bool:
    """Tell whether one of the lines is about drugs and names one."""
    return any(_DRUG_EVENT.search(plain(line)) and not names_no_drug(line) for line in lines)


def abbreviations_in(text: str) -> list[str]:
    """The abbreviations in a text that a registrar may read in more than one way."""
    found = re.findall(r"\b[A-Za-z]{2,6}\b", text)
    return list(dict.fromkeys(word for word in found if word in _ABBREVIATIONS))


def is_sudden_infant_death(text: str) -> bool:
    """Tell whether a text calls the death a sudden infant death by any of its names."""
    return bool(_SIDS.search(plain(text)))


def names_excited_delirium(text: str) -> bool:
    """Tell whether a text names excited delirium."""
    return bool(_EXCITED.search(text.lower()))


def says_pending(line: str) -> bool:
    """Tell whether a line says no more than that the cause is still to come."""
    return bool(_PENDING.search(plain(line)))


def says_no_cause(line: str) -> bool:
    """Tell whether a line says no more than that the cause is not known."""
    words = set(plain(line).replace("n a", "na").split())
    return bool(words - _ONLY_NAMES_CAUSE) and words <= _NO_CAUSE
