"""Cases of yesterday and today: received, or just reported. Data alone."""

from __future__ import annotations

from decimal import Decimal

from me_office.demo import said
from me_office.demo.scenario import DemoCase, accept, brought, h, one, report, story

# fmt: off
COLD = story(
    report("sedge", heading="Found at the bus shelter, Ford Lane", family_name="Harkness",
           given_names="Silas", sex="male", age_years=Decimal(55),
           **said.caller("Ofc. R. Tolland", "Officer", "Tarnford Police"),
           agency_number="TP 26-1934", place_found="Bus shelter, Ford Lane", place_kind="Street",
           circumstances="Seated in the shelter after a night of frost. Known to sleep outdoors.",
           **said.last_alive("between", h(-9), "Bus driver"), last_alive_until=h(-7),
           found_certainty="about", found_at=h(0, -30), found_by="A woman on her way to work",
           **said.pronounced(h(0, -10), "S. Adair, paramedic")),
    accept("sedge", h(0, 15), "Outdoors, cause not known", "Cold, disease or poisoning: open."),
    one("sedge", "record_identification", identity="tentative", method="documents",
        made_by="Ofc. R. Tolland, Tarnford Police", made_at=h(0, 40),
        basis="Library card in the jacket."),
    one("sedge", "record_scene", arrived_at=h(0, 55), left_at=h(2), agencies="Police",
        address="Bus shelter, Ford Lane",
        environment="Open shelter, frost on the bench and the ground. No disorder.",
        position="sitting", position_words="On the bench, leaning to the corner.",
        moved_before="Not moved", clothing="Two jackets, cap, trousers, boots; all closed.",
        **said.livid("Lower legs", "pink", "blanches", h(1, 10)),
        **said.stiff("beginning", "Jaw", h(1, 10)), body_marks="No injury seen."),
    one("sedge", "record_reading", kind="ambient", value_c=Decimal("-3.5"), read_at=h(1, 15),
        method="Probe T-03"),
    brought("sedge", h(3), "Bus shelter, Ford Lane", "T-0317", "TB 00824", "Cooler 1, place 3",
            condition="Clothed, cold."),
)

FRESH = story(
    report("quill", heading="Found in bed, Larch Street", family_name="Sorley", given_names="Hanne",
           sex="female", age_years=Decimal(51), home_address="Larch Street 9, Tarnford",
           **said.caller("Ofc. R. Tolland", "Officer", "Tarnford Police"), caller_phone="555-0101",
           place_found="Larch Street 9, Tarnford", place_kind="Home",
           circumstances="Did not come to work. Found in bed by her employer and the police; door "
           "locked from inside. Asthma is known.", **said.last_alive("about", h(-17), "Colleague"),
           **said.found_dead(h(0, -30), "Ofc. R. Tolland"),
           **said.pronounced(h(0, -15), "K. Morrow, paramedic")),
)

HALL = story(
    report("sedge", heading="Taken from the pool, Eskmere baths", family_name="Imrie",
           given_names="Leopold", sex="male", age_years=Decimal(68),
           **said.caller("Dr. V. Amsel", "Physician", "Eskmere hospital"),
           place_found="Eskmere baths", place_kind="Swimming hall",
           circumstances="Seen to stop swimming and sink. Out of the water within a minute. Died "
           "in hospital without waking.",
           **said.last_alive("exact", h(0, -25), "Dr. V. Amsel, emergency room"),
           **said.pronounced(h(0, -25), "Dr. V. Amsel")),
)

# fmt: on
YESTERDAY = DemoCase("harkness", COLD, days_ago=1, clock="07:30")
TODAY = (
    DemoCase("sorley", FRESH, minutes_ago=95),
    DemoCase("imrie", HALL, minutes_ago=35),
)
