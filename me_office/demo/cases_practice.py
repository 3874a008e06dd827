"""Practice cases: written so that every check has something to say. Data alone.

Nobody's death is told here: a new colleague sees in them what the checks of a case ask, and what
they ask about where two places of a record do not agree.
"""

from __future__ import annotations

from datetime import time
from decimal import Decimal

from me_office.demo import said
from me_office.demo.reported import result
from me_office.demo.scenario import (
    Act,
    DemoCase,
    InDays,
    Who,
    accept,
    assign,
    dot,
    h,
    injury,
    one,
    open_seal,
    photo,
    report,
    specimen,
    story,
    then,
)

# fmt: off
UNFINISHED = story(
    report("quill", heading="Practice case: a record full of gaps and contradictions",
           working_name="Practice figure 1", sex="male", age_years=Decimal(35),
           **said.caller("N. Ware", "Instructor", "Tarn County training"),
           place_found="Training room, Quarry Road", place_kind="Other",
           circumstances="Written for practice: a sexual assault is suspected. What is missing and "
           "what does not agree was left so on purpose.", last_alive_certainty="unknown",
           found_certainty="exact", found_at=h(0, -20)),
    accept("quill", h(0, 30), "Practice", "New colleagues learn on it."),
    assign(pathologist="amadi"),
    one("quill", "record_scene", arrived_at=h(1), address="Training room, Quarry Road"),
    *(one("quill", "record_place", kind="injury", address=f"Training room, corner {number}",
          told_by="N. Ware", from_at=h(-3), to_at=h(-1)) for number in (1, 2)),
    one("quill", "record_reading", kind="liver", value_c=Decimal("33.0"), read_at=h(1, 20),
        method="Probe T-07"),
    one("quill", "receive_body", received_at=h(2), received_by=Who("renn"),
        delivered_by="R. Cobb, county transport", received_from="Training room, Quarry Road",
        tag_number="T-0318", seal_state="none", kept_at="Training room"),
    one("amadi", "open_examination", kind="full autopsy", chart_body="adult_male",
        began_at=h(3)),
    injury("amadi", "shot", "Gunshot wound", marks=[dot("anterior", 34, 262)],
           mechanism="Firearm"),
    injury("amadi", "stab", "Stab wound", marks=[dot("anterior", 30, 300)],
           mechanism="Sharp force", place="Left thigh"),
    injury("amadi", "side", "Abrasion", mechanism="Blunt force", place="Left forearm",
           from_midline_cm=Decimal(-9), midline="anterior", **said.ruler(90)),
    injury("amadi", "burn", "Burn", mechanism="Heat", pattern="Grid of 3 mm"),
    photo("renn", h(3, 40), "close-up", "contusion", "Right forearm", name="near",
          region="Left forearm", of=["side"], scale=True, place="scene", length_mm=40,
          width_mm=20),
    Act("amadi", "measure_photograph", name="measured", about="near", more={"finding": "side"},
        at=h(4, 30)),
    then(h(5, 10), one("amadi", "record_examination", ended_at=h(5, 5),
        cavities="Blood was taken.", deep_dissection="The ovaries are small.")),
    then(h(5, 30), one("amadi", "state_cause_and_manner",
        cause_a="Fracture of the pelvis", cause_b="Strangulation", manner="natural",
        death_on=InDays(-1), death_on_is="actual", death_time=time(16, 5),
        death_time_is="actual")),
    then(h(5, 50), one("amadi", "write_report", summary="He has four stab wounds.", opinion="",
                       history="")),
    then(h(6, 10), result("renn", "practice result", ("toxicology", h(5)), [],
                          organization="Tarn County training", statement="Ethanol was found.")),
)

UNOPENED = story(
    report("quill", heading="Practice case: not opened, and weighed all the same",
           working_name="Practice figure 2", sex="female", age_years=Decimal(30),
           **said.caller("N. Ware", "Instructor", "Tarn County training"),
           place_found="Training room, Quarry Road", place_kind="Other",
           circumstances="Written for practice. What does not agree was left so on purpose.",
           last_alive_certainty="unknown", found_certainty="exact", found_at=h(0, -20),
           **said.pronounced(h(0, -10), "S. Adair, paramedic")),
    accept("quill", h(0, 20), "Practice", "New colleagues learn on it."),
    assign(pathologist="amadi"),
    one("amadi", "open_examination", kind="external", kind_reason="For practice",
        chart_body="adult_female", began_at=h(2), place="Training room"),
    specimen("amadi", "blood", h(2, 20), "Blood", "Heart", amount=Decimal(5), unit="mL",
             container="Gray-top tube", purpose="Toxicology"),
    open_seal("amadi", "blood", h(4), "To show a seal that is broken."),
    then(h(4, 20), one("amadi", "record_examination", ended_at=h(4, 15),
                   internal="The organs lie in their places.")),
    then(h(4, 40), one("amadi", "state_cause_and_manner", cause_a="Not determined",
                       manner="homicide", basis="For practice")),
)
# fmt: on
PRACTICE = (
    DemoCase("practice-1", UNFINISHED, days_ago=1, clock="10:55", tone=1),
    DemoCase("practice-2", UNOPENED, days_ago=1, clock="11:14"),
)
