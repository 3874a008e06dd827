"""A death in the hospital: accepted, records read, closed without a report. Data alone."""

from __future__ import annotations

from decimal import Decimal

from me_office.demo import said
from me_office.demo.scenario import Act, DemoCase, accept, h, report, story, then

CHART = story(
    report("quill", heading="Death in the hospital after a hip fracture", family_name="Calder",
           given_names="Ottoline", sex="female", age_years=Decimal(91),
           home_address="Mill Lane 8, Eskmere",
           **said.caller("T. Voss", "Nurse", "Eskmere hospital"),
           place_found="Eskmere hospital, ward 4", place_kind="Hospital",
           circumstances="Fell in her kitchen five weeks ago; hip broken and mended. Died in the "
           "ward with pneumonia.", **said.last_alive("exact", h(-1), "T. Voss, nurse"),
           **said.found_dead(h(-1), "T. Voss, nurse"),
           **said.pronounced(h(0, -50), "Dr. L. Ferris")),
    accept("quill", h(0, 20), "Death after a fall", "The fracture is an injury."),
    Act("quill", "record_identification", {
        "identity": "confirmed", "method": "documents", "made_by": "T. Voss, nurse",
        "made_at": h(1, 10),
        "basis": "Hospital wristband and chart agree, and the staff knew her for five weeks.",
    }),
    then(h(2), Act(
        "quill", "state_not_done", more={"kind": "scene"},
        reason="She died in the hospital; the fall was five weeks ago.")),
    Act("quill", "state_not_done", reason="Released from the hospital after the chart was read.",
        more={"kind": "body"}),
    then(h(4, 35), Act("thorne", "close_case", {
        "kind": "records", "certified_by": "Dr. L. Ferris, Eskmere hospital",
        "why": "Chart and radiographs were read. Nothing speaks for more than the recorded fall.",
    })),
)  # fmt: skip
CLOSED = DemoCase("calder", CHART, days_ago=1, clock="10:40")
