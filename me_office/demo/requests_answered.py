"""Requests to the invented office: one answered, one for the second person, one late, one moved."""

from __future__ import annotations

from me_office.demo.clerk_words import (
    CLERK,
    decided,
    demand,
    ground,
    invoice,
    letter,
    mailed,
    reached,
    rule,
)
from me_office.demo.scenario import Act, InDays, OnDay, Who, one, story, then

# fmt: off
FREIGHT = "Moss and Arden\n7 Wharf Road\nTarnford"
REPORT, PICTURES = "freight: Report of examination", "freight: Photographs"
RESULTS, CUSTODY = "freight: Results of toxicology, with worksheets", "freight: Custody and slides"

# The office's own lists, before its first request; the codes are of an invented county.
OFFICE_LISTS = story(
    then(OnDay(-20, "08:50"), ground(1, "Order of a court", "the order on file")),
    ground(2, "Records of a minor", "Tarn County Code 27-2"),
    ground(4, "Health of a living person", "Tarn County Code 27-4"),
    ground(7, "Picture of a face, at the family’s wish", "Tarn County Code 27-7"),
    rule("juvenile", 2), rule("living", 4), rule("face", 7), rule("copy", 7),
    Act(CLERK, "replace_page_series", {"prefix": "TC-", "digits": 6}, name="page numbers"),
)

# A subpoena with five demands, decided, approved, built and handed over.
ANSWERED = story(
    then(OnDay(-12, "09:12"), one(CLERK, "log_request", "freight", kind="subpoena",
        court="Tarn County District Court", cause_number="CV-26-00455",
        party="Moss and Arden, for Kestrel Freight", contact="records@moss-arden.example",
        served_on=InDays(-12), due_on=InDays(-2), wants="both", served_how="hand",
        served_on_whom="R. Ostrander",
        asks_for="Report, photographs, toxicology, custody, and Dr. Vasko’s testimony.")),
    demand("freight", "Report of examination", "The report of examination, as signed.", page=1),
    demand("freight", "Photographs", "All photographs of the scene and of the body.", page=1),
    demand("freight", "Results of toxicology, with worksheets",
           "Results of the laboratory, with the worksheets on which they rest.", page=2),
    demand("freight", "Custody and slides",
           "The custody record of the blood, and any histology slides.", page=2),
    demand("freight", "Testimony of Dr. Vasko", "Dr. I. Vasko is commanded to appear and testify.",
           kind="testimony", page=3),
    Act(CLERK, "record_counsel", {"side": "asking", "name": "J. Arden", "firm": "Moss and Arden",
        "appears_for": "Kestrel Freight", "address": "7 Wharf Road, Tarnford"},
        name="for Kestrel Freight", about="freight"),
    Act(CLERK, "count_due_day", {"rule_key": "federal-civil", "trigger_on": InDays(-12),
        "amount": 10, "unit": "days", "way": "by hand", "court": "Tarn County District Court"},
        about="freight"),
    Act(CLERK, "give_request", {"person": Who(CLERK)}, about="freight"),
    letter("freight", "acknowledgment", "J. Arden", FREIGHT,
           "To J. Arden:\n\nWe received your subpoena and will answer each item by itself.\n\n"
           "Please cite our reference in any reply."),
    then(OnDay(-11, "15:40"), mailed("freight", "acknowledgment", "J. Arden")),
    then(OnDay(-5, "14:05"), reached(REPORT, "report")),
    reached(PICTURES, "photograph"), reached(RESULTS, "result"),
    reached(RESULTS, "other", words="Worksheets of the laboratory"),
    reached(CUSTODY, "custody record"), reached(CUSTODY, "other", words="Histology slides"),
    decided(REPORT, "release", ["Report of examination"]),
    decided(PICTURES, "release", ["P 1", "P 2", "P 5", "P 6", "P 7"]),
    decided(PICTURES, "redact", ["P 4"], ground=7),
    decided(PICTURES, "withhold", ["P 3"], ground=7),
    decided(RESULTS, "release", ["Result 1"]),
    decided(RESULTS, "not ours", ["Worksheets of the laboratory"],
            held_by="State toxicology laboratory"),
    decided(CUSTODY, "release", ["Custody record"]),
    decided(CUSTODY, "missing", ["Histology slides"], note="No tissue was kept for slides."),
    then(OnDay(-5, "16:30"), Act("thorne", "approve_release",
         {"note": "Read item by item; the belt is seen without the face."}, name="approved",
         about="freight")),
    then(OnDay(-4, "08:45"), letter("freight", "cover", "J. Arden", FREIGHT,
         "To J. Arden:\n\nEnclosed is our answer to your subpoena, each item by itself. What is "
         "kept back, and on which ground, stands in the log.\n\nDr. Vasko will testify on the day "
         "that you name; please call the office.")),
    invoice("freight", "Moss and Arden", "7 Wharf Road, Tarnford",
            {"Copy on paper": 24, "File": 7, "Certified copy": 1}),
    Act(CLERK, "request_answer", {"with_certificate": True, "with_exhibit_list": True,
        "camera_notes": False}, name="answer", about="freight"),
    then(OnDay(-4, "11:16"), Act(CLERK, "record_letter_sent", {"way": "hand",
         "to_name": "J. Arden", "note": "On top of the answer"}, about="freight cover")),
    then(OnDay(-4, "11:20"), Act(CLERK, "deliver_answer", {"method": "in person",
         "to_whom": "J. Arden, counsel", "answers": "whole", "still_due": "",
         "note": "Receipt signed at the counter."}, name="handed over", about="answer")),
    then(OnDay(-2, "10:05"), Act(CLERK, "record_payment", {"invoice": "freight invoice",
         "paid_on": InDays(-2), "paid_how": "check", "paid_note": "Check 20418"},
         about="freight")),
)

# Decided but for the photographs, on which the file already proposes something.
HALF_DECIDED = story(
    then(OnDay(-2, "09:20"), reached("demand 2 The report of examination, with addenda",
                                     "report")),
    reached("demand 2 All photographs", "photograph"),
    reached("demand 3 Toxicology results and worksheets", "result"),
    reached("demand 3 Toxicology results and worksheets", "other",
            words="Worksheets of the laboratory"),
    reached("demand 3 Histology slides", "other", words="Histology slides"),
    decided("demand 2 The report of examination, with addenda", "release",
            ["Report of examination"]),
    decided("demand 2 All photographs", "release", ["P 1", "P 2", "P 5", "P 6", "P 7"]),
    decided("demand 3 Toxicology results and worksheets", "not ours",
            ["Worksheets of the laboratory"], held_by="State toxicology laboratory"),
)

# Decided by the clerk, and nobody else has read it yet.
FOR_THE_SECOND_PERSON = story(
    then(OnDay(-6, "10:15"), one(CLERK, "log_request", "pension", kind="records request",
        party="Tarn County Pension Office", contact="files@pension.tarn.example",
        served_on=InDays(-6), due_on=InDays(4), asked_under="agency",
        asks_for="The report with its amendment, and the result of microscopy.")),
    demand("pension", "Report with amendment", "The report, as amended."),
    demand("pension", "Result of microscopy", "What the section of the heart showed."),
    Act(CLERK, "give_request", {"person": Who(CLERK)}, about="pension"),
    then(OnDay(-1, "11:10"), reached("pension: Report with amendment", "report")),
    reached("pension: Report with amendment", "addendum"),
    reached("pension: Result of microscopy", "result"),
    decided("pension: Report with amendment", "release",
            ["Report of examination", "Addendum 1", "Amendment 2"]),
    decided("pension: Result of microscopy", "release", ["Result 1"]),
)

# Late: counsel has to say whether the prosecution keeps it back.
LATE = story(
    then(OnDay(-11, "13:25"), one(CLERK, "log_request", "defender", kind="discovery",
        court="Tarn County Superior Court", cause_number="CR-26-01243",
        party="Public Defender of Tarn County", contact="desk@defender.tarn.example",
        served_on=InDays(-11), due_on=InDays(-1),
        asks_for="Photographs of the injuries, and the custody of the nail clippings.")),
    demand("defender", "Photographs of the injuries", "Photographs of the head, arms and hands."),
    demand("defender", "Custody of the nail clippings", "Who held them, and since when."),
    Act(CLERK, "give_request", {"person": Who(CLERK)}, about="defender"),
    Act(CLERK, "note_stop", {"kind": "prosecution", "why": "State v. Orrin, by word of the county "
        "attorney"}, name="prosecution"),
    then(OnDay(-9, "09:40"), reached("defender: Photographs of the injuries", "photograph")),
    reached("defender: Custody of the nail clippings", "custody record"),
)

# Nobody answers before the court has ruled.
STOPPED = story(
    then(OnDay(-8, "11:35"), one(CLERK, "log_request", "press", kind="discovery",
        court="Eskmere Municipal Court", cause_number="CV-26-00102",
        party="Eskmere Courier, by L. Brandt", contact="desk@eskmere-courier.example",
        served_on=InDays(-8), due_on=InDays(6), asks_for="All photographs of the cabin.")),
    demand("press", "Photographs of the cabin", "Photographs taken in and around the cabin."),
    Act(CLERK, "give_request", {"person": Who(CLERK)}, about="press"),
    then(OnDay(-5, "10:10"), Act(CLERK, "note_clock_change", {"kind": "objection",
         "on": InDays(-5), "effect": "stops",
         "note": "County counsel objected; the court hears it next month."}, name="objected",
         about="press")),
)

# The day was moved by agreement.
MOVED = story(
    then(OnDay(-1, "09:50"), Act(CLERK, "note_clock_change", {"kind": "extension",
         "on": InDays(-1), "effect": "moves", "new_due_on": InDays(10),
         "note": "Agreed by phone with R. Sable of Marsh Mutual; our letter confirms it."},
         name="moved", about="insurer")),
    letter("insurer", "extension", "R. Sable", "Marsh Mutual Assurance\nClaims\nPO Box 118",
           "To R. Sable:\n\nAs agreed by phone, we answer your request seven days later "
           "than we first said: who may have the report is still being checked."),
    then(OnDay(-1, "15:35"), mailed("insurer", "extension", "Marsh Mutual Assurance")),
)
# fmt: on
