"""Words that a description is made of, by what they do in a sentence.

Common practice: gathered from how findings are described; no published list is reproduced here. A
word that is not here, and not known by its ending, is not guessed at: see `findings.prose.phrases`.
"""

from __future__ import annotations

from typing import Final


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


# What stands after "is": adjectives and participles that their ending does not tell.
QUALITIES: Final = _words(
    """
    drying absent adherent adjacent alike angular apart asymmetric bare bent big blanched bland
    blind blunt boggy bound bright broad broken brittle bruised burnt central clean clear close
    closed coarse cold complete continuous convergent crisp cut damp dark deep dense different
    diffuse dilute dim dirty discrete distal distant distinct distorted divergent double dried
    dry dull dusky edematous elastic empty enlarged entire equal even exact extensive faint fair
    fine firm fixed flabby flat flush foreign fragile free fresh friable frothy frozen full
    gaping glistening greasy gross hard healing heavy high hollow horizontal hot incomplete
    indistinct inner intact inverted jagged large lateral lax left less light limp linear liquid
    long loose low lower massive medial mild minute mixed moderate moist more much multiple
    murky mushy naked narrow near new normal oblique oblong old opaque open oval ovoid outer
    painted pale parallel partial patchy patent peripheral plain present prominent proximal
    pulpy ragged raised raw recent regular rhomboid right rigid ripe rotten rough round rubbery
    scant scanty separate severe shallow sharp shiny short shut simple single skeletal slack
    slender slight slimy slit slow small smooth soaked soft solid sooty sore sound sparse split
    spread spongy square stale steep stiff straight strong subtle sunk sunken superficial
    swollen symmetric tacky taut tender tense tethered thick thin thrombosed tight torn tough
    transparent transverse triangular turbid undermined uneven uniform unremarkable upper vague
    vertical violaceous visible warm waxy wavy weak wet whole wide wrinkled young deeper darker
    lighter paler larger smaller wider longer shorter sharper softer thicker thinner bloody
    watery sandy muddy gritty hairy bony fatty fleshy cloudy milky spotty streaky mossy leathery
    papery parchmenty wiry ropy sticky oily dusty grimy tarry wooly woolly fluffy woven shaven
    sewn drawn worn grown known seen hidden bitten beaten fallen given taken driven stuck struck
    hung lost kept bled burst burned healed unhealed read punctate arcuate serrate lobulate
    granulating desquamating oozing weeping protruding bulging peeling branching crossing
    radiating overlapping interlacing projecting surrounding underlying overlying confluent
    coalescent
    """
)
# Endings of such words, and words with those endings that are things.
QUALITY_ENDINGS: Final = (
    "ed", "less", "like", "shaped", "ous", "able", "ible", "ish", "ic", "oid", "colored", "ular",
    "iform", "escent",
)  # fmt: skip
NOT_QUALITIES: Final = _words(
    """
    bed seed weed reed shed sled thread bead clinic fabric plastic traffic ceramic topic tonic
    panic mosaic rubbish dish fish table cable vegetable needle mucus callous thyroid steroid
    colloid sphenoid mastoid hyoid arachnoid carotid relic
    """
)
# What may stand before any of them.
DEGREES: Final = _words(
    """
    very slightly somewhat partly partially completely fully nearly almost about barely hardly
    well ill poorly clearly sharply faintly deeply widely finely coarsely densely loosely only
    just still mostly otherwise all quite too rather not never more less least most half newly
    freshly firmly bilaterally diffusely focally irregularly regularly evenly unevenly
    extensively heavily lightly obliquely vertically horizontally transversely laterally
    medially centrally peripherally dorsally ventrally proximally distally superiorly inferiorly
    anteriorly posteriorly inward outward inwards outwards upward downward upwards downwards
    forward backward around throughout together apart there here away aside again twice once
    """
)
LINKING: Final = _words("and or but to yet nor &")
PREPOSITIONS: Final = _words(
    """
    about above across after against along alongside amid among around at before behind below
    beneath beside between beyond by down during for from in inside into like near of off on
    onto opposite out outside over past per round since through throughout to toward 
    under underneath until up upon via with within without
    """
)
# Verbs with which a fragment is a sentence of its own.
VERBS: Final = _words(
    """
    is are was were has have had can cannot could may might must shall should will would does do
    did shows showed runs ran lies lay extends extended contains contained reaches reached
    spares spared holds held involves involved exposes exposed crosses crossed follows followed
    becomes became remains remained appears appeared seems seemed communicates bleeds bled fits
    fitted dries speaks tells agrees explains suggests indicates excludes argues allows permits
    supports proves differs lacks makes needs lets occurs happens means says begins stops starts
    gapes bulges narrows widens tapers surrounds covers fills spreads passes penetrates
    perforates enters traverses obscures hides carries sits stands rests hangs wraps encircles
    radiates rises died fell came comes goes went gives gave left matches matched corresponds
    resembles blanches fades
    """
) - _words("left spared exposed involved extended crossed held contained matched fitted")
SUBORDINATING: Final = _words(
    "that which who whom whose where when while because since although though if whether as until"
)
DETERMINERS: Final = _words(
    """
    a an the this that these those its his her their both each every all some any another one
    two three four five six seven eight nine ten eleven twelve several many few no none numerous
    """
)
# Things that are not counted; their singular takes no article.
UNCOUNTED_THINGS: Final = _words(
    """
    adipocere air blood bloodstaining bone bruising bile cartilage charring clay cloth clothing
    clot congestion crepitus cyanosis debris dirt discoloration dust edema erythema evidence fat
    feces fibrin fluid foam food froth gas gauze glass granulation grass gravel grease grit
    gunpowder hair hemolysis hemorrhage hyperemia infiltration ink jaundice jelly lividity
    maceration maggots marbling material matter meconium metal mucus mud muscle necrosis oil
    ointment oozing pallor paint paper parchment petechiae pigment plaster powder purge pus
    rigor rust saliva sand scaling scarring semen serum shrapnel skin slippage smoke soap soil
    soot sputum staining stippling stomach swelling tape tar tattooing tissue tobacco
    undermining urine vegetation vomit water wax wood damage trauma disease drying slough
    cornification keratosis hyperkeratosis ecchymosis emphysema atelectasis fibrosis gliosis
    steatosis cirrhosis peritonitis pneumonia meningitis ischemia anemia
    """
)
UNCOUNTED_ENDINGS: Final = ("ing", "ness", "emia", "osis", "itis", "rrhage", "ment")
COUNTED: Final = _words(
    "opening ring string wing marking fragment segment ligament filament ornament lining dressing "
    "covering casing earring piercing incision splitting"
)
# Things that are known by their word; every plural is known by its ending.
THINGS: Final = UNCOUNTED_THINGS | _words(
    """
    abrasion abscess angle appearance arc area artery attachment band bar base blister bone
    border branch bridge bruise bullet burn callus canal capsule caliber cap cast cavity center
    channel circle cleft clot coat collar color comma contusion core corner cover crack
    crease crescent crest cross crust curve cut cyst deck defect deformity deposit depression
    depth diameter dimple disk division drop edge elevation end entrance erosion eschar
    excavation exit extension extent face fascia fiber filament film finger fissure flap fold
    foot fracture fragment furrow gap graft granule groove gutter halo handle head hematoma
    hernia hole hook image implant impression imprint incision indentation infarct injury island
    jacket joint keloid knot laceration layer lesion letter ligature line lining lip loop lump
    margin mark mass membrane mole mouth muzzle nail neck needle nerve network nodule notch
    number object opening organ oval pad palm part patch path pattern peak pedicle piece pit
    place plaque plate pocket point pole pore portion pouch print projection pulse puncture
    quarter rash region rest ridge rim ring rod root row sac scab scale scar scratch seam
    segment septum series shadow shaft shape sheath shelf sheet side sign sinus site size
    skeleton slit space speck spot spray stain star stem stitch stone strand strap streak
    stretch string strip stripe stump surface suture swab tag tail tear tendon texture thread
    thrombus tip tooth trace tract track tube tumor twist ulcer valve vein vessel vesicle wall
    wart web wedge width wing wound wrinkle zone midline belt buckle chain tread sole heel nose
    knuckle wrist electrode catheter lead pacemaker dressing bandage tourniquet bead grain
    pellet wad shot cartridge blade screw pin wire rib vertebra spine skull femur tibia fibula
    humerus radius ulna clavicle scapula sternum pelvis coil stent lung liver kidney spleen
    heart brain muscle reaction response character course direction spacing length breadth
    height weight volume
    """
)
