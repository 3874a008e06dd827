"""The richest case: a fall at a grain store, examined and photographed, not yet decided."""

from __future__ import annotations

from decimal import Decimal

from me_office.demo import said
from me_office.demo.hallstead_examination import (
    EXAMINATION,
    EXHIBITS,
    ORGANS,
    PHOTOGRAPHS,
    SPECIMENS,
)
from me_office.demo.hallstead_statements import STATEMENTS
from me_office.demo.scenario import (
    DemoCase,
    InDays,
    accept,
    assign,
    brought,
    confirmed,
    h,
    one,
    report,
    scene_photo,
    story,
    thing,
)

PLACE = "Hallstead Grain, Mill Road 3, Tarnford"

FIRST_CALL = story(
    report("quill", heading="Fall at a grain store", family_name="Hallstead", given_names="Oren",
           sex="male", age_years=Decimal(58), home_address="Mill Road 5, Tarnford",
           **said.caller("Deputy J. Fenn", "Deputy", "Tarn County Sheriff"),
           caller_phone="555-0142", agency_number="TS 26-3307", place_found=PLACE,
           place_kind="Workplace, grain store",
           circumstances="Found by his daughter at the foot of the fixed ladder of bin 2. He had "
           "gone out to check the bin's vent after supper. The ambulance crew could not tell deep "
           "cooling from death: pads, a line and compressions for eight minutes, no rhythm at any "
           "time, stopped at 07:41 by a physician's order over the radio.",
           **said.last_alive("about", h(-11, -20), "Daughter, at supper"),
           **said.found_dead(h(0, -41), "Daughter, W. Hallstead"),
           **said.pronounced(h(0, -17), "K. Morrow, paramedic")),
    accept("quill", h(0, 20), "Injury at work, unwitnessed",
           "An unwitnessed fall at a workplace; the death is sudden and not explained by disease."),
    assign(pathologist="vasko"),
)  # fmt: skip

SCENE = story(
    one("quill", "record_scene", arrived_at=h(0, 52), left_at=h(2, 15), address=PLACE,
        environment="Steel bin on a concrete pad, frost on the ladder's rungs, dry under the "
        "eaves. Yard light on. No disorder. A flashlight lay lit beside the ladder; the sheriff "
        "kept it.", hazards="Grain dust; the ladder was not climbed", agencies="Sheriff, ambulance",
        position="right side",
        position_words="Right arm under the chest, head toward the ladder, both knees bent.",
        moved_before="Turned on his back by the ambulance crew at 07:32, then left as he was",
        clothing="Canvas coat, wool shirt, work trousers, one boot; the other under the ladder.",
        **said.livid("Right flank; fainter on the back", "violet", "partly", h(1, 5),
                     spared="Shoulder blades"),
        **said.stiff("full", "Jaw, neck, arms and legs", h(1, 5)),
        body_marks="Discoloration of the right forehead. A tear of the scalp at the back.",
        narrative="The lowest rung of the ladder is 3.6 m below the vent hatch, which stood open. "
        "Fibers on the bin's edge 1.2 m above the pad were left for the sheriff."),
    one("quill", "record_reading", kind="ambient", value_c=Decimal("2.5"), read_at=h(1, 8),
        method="Probe T-07"),
    one("quill", "record_reading", kind="surface", value_c=Decimal("1.0"), read_at=h(1, 9),
        method="Probe T-07, concrete"),
    one("quill", "record_reading", kind="rectal", value_c=Decimal("24.6"), read_at=h(1, 14),
        method="Probe T-07"),
    one("quill", "record_medication", name="Lisinopril", strength="10 mg",
        directions="One each morning", quantity_dispensed=30, quantity_found=11,
        prescribed_to="O. Hallstead", prescriber="Dr. E. Sorrel", where_found="Kitchen shelf"),
    one("quill", "record_person", part="next of kin", name="Wilda Hallstead", relation="Daughter",
        phone="555-0177", notified_at=h(0, 10),
        statement="He went out at about half past eight and took the flashlight. He said the vent "
        "rattled."),
    one("quill", "record_person", part="physician", name="Dr. E. Sorrel",
        relation="Family physician", phone="555-0119",
        statement="Treated for high blood pressure for six years. No falls known."),
    scene_photo("quill", h(1, 0), "scene_yard", "Yard from the gate, grain bins behind",
                region="Yard"),
    brought("quill", h(3, 22), PLACE, "T-0311", "TB 00817", "Cooler 1, place 4",
            condition="In a white bag, clothed. Electrode pads and a needle with gauze in place."),
    one("quill", "record_identification", identity="confirmed", method="visual",
        made_by="Wilda Hallstead", relation="Daughter", made_at=h(4, 5),
        basis="Face seen at the office, in quiet surroundings."),
    thing("quill", "watch", h(3, 40), "valuables",
          "Wristwatch, steel, glass cracked, stopped at 20:46", "on the body",
          found_at="Left wrist", witnessed_by="D. Renn"),
    thing("quill", "keys", h(3, 44), "personal effects",
          "Ring with three keys and a brown leather wallet", "on the body", found_at="Coat pocket",
          witnessed_by="D. Renn"),
)  # fmt: skip

CLOSING = story(
    one("vasko", "record_examination", ended_at=h(29, 20),
        cavities="The right chest cavity holds 900 mL of blood. The other cavities are dry.",
        internal="Ribs 5 to 8 on the right are broken laterally and displaced inward; the right "
        "lung is torn along 2 cm at the same height. The skull and the brain show no injury. The "
        "heart is enlarged. The stomach lining shows no Wischnewski spots; the skin over knees and "
        "elbows shows no frost erythema.",
        deep_dissection="The skin of back and limbs was reflected: no further hemorrhage."),
    confirmed("vasko", "internal-hyoid", "internal-larynx", "internal-spine", "internal-pelvis",
              "internal-liver", "internal-spleen", "internal-great-vessels"),
    one("vasko", "state_cause_and_manner", cause_a="Pending: toxicology and microscopy",
        manner="pending",
        basis="Injuries of the chest are established. Alcohol, heart disease and the part that "
        "cold played are not: the body alone does not exclude cold."),
    one("vasko", "record_follow_up", awaited="toxicology", details="State toxicology laboratory",
        follow_up_on=InDays(4)),
    one("vasko", "record_follow_up", awaited="histology", follow_up_on=InDays(9)),
)  # fmt: skip

HALLSTEAD = DemoCase(
    "hallstead",
    story(
        *(FIRST_CALL, SCENE, EXAMINATION, PHOTOGRAPHS, SPECIMENS, ORGANS, CLOSING, EXHIBITS),
        STATEMENTS,
    ),
    days_ago=11,
    clock="07:58",
)
