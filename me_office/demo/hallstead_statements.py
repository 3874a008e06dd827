"""What was said of the fall at the grain store before the report: invented, like the rest of it."""

from __future__ import annotations

from me_office.demo.scenario import Act, InDays, OnDay, story, then

INTERVIEW = """\
Page 1
 1   DEPUTY FENN: What time did you find your father, ma'am?
 2   W. HALLSTEAD: About a quarter past seven. It was getting light.
 3   DEPUTY FENN: When did you see him last?
 4   W. HALLSTEAD: At supper. He went out at half past eight.
 5   DEPUTY FENN: How was he lying?
 6   W. HALLSTEAD: On his right side, close to the ladder.
 7   DEPUTY FENN: Did you see that he was hurt?
 8   W. HALLSTEAD: A bruise over the left eyebrow. Not much blood.
 9   DEPUTY FENN: Did he drink that evening?
10   W. HALLSTEAD: One beer. No more than that.
"""
DEPOSITION = """\
Page 14
 1   Q. Doctor, you examined Mr. Hallstead?
 2   A. I did. My report is not finished, and I say what I can
 3   say today.
 4   Q. Tell us about the bruise on the chest.
 5   A. It is on the right side of the chest. I would say about
 6   ten centimeters by six and a half centimeters.
 7   Q. And the ribs under it are broken?
 8   A. Four ribs on the right side, displaced inward.
 9   Q. So he was struck there. One blow?
10   A. I said that I cannot tell a fall from a blow by the body
11   alone. At least one impact.
12   Q. You found a wound on the back of the head?
Page 15
 1   A. A tear of the scalp, about an inch long.
 2   Q. From two blows?
 3   A. One impact.
 4   Q. And the bruise on the forehead is four centimeters long?
 5   A. I would have to look. Three centimeters, about.
 6   Q. How tall was he, Doctor?
 7   A. Five feet seven inches.
 8   Q. Did the cold play a part?
 9   A. That is open. The body alone does not exclude it.
"""


def _marked(by: str, of: str, lines: str, **about: tuple[str, ...]) -> Act:
    return Act(by, "mark_passage", about=of, more={"lines": lines, **about})


STATEMENTS = story(
    then(
        OnDay(-7, "09:20"),
        Act(
            "ostrander",
            "add_statement",
            {
                "kind": "interview",
                "given_on": InDays(-11),
                "speaker": "Wilda Hallstead, daughter",
                "spoken_to": "Deputy J. Fenn, Tarn County Sheriff",
                "taken_down": "draft",
                "note": "Typed by the sheriff from the body camera.",
            },
            name="interview",
            more={"text": INTERVIEW},
        ),
        _marked("ostrander", "interview", "1:1-2", topics=("Time found",)),
        _marked("ostrander", "interview", "1:3-4", topics=("Last known alive",)),
        _marked("ostrander", "interview", "1:7-8", findings=("forehead",)),
    ),
    then(
        OnDay(-1, "10:05"),
        Act(
            "vasko",
            "add_statement",
            {
                "kind": "deposition",
                "given_on": InDays(-3),
                "speaker": "Dr. I. Vasko",
                "spoken_to": "L. Corrigan, counsel for the insurer",
                "cause_number": "WC-26-0488",
                "taken_down": "certified",
                "note": "Taken before the report; read and signed without an errata sheet.",
            },
            name="deposition",
            more={"text": DEPOSITION},
        ),
        _marked("vasko", "deposition", "14:4-6", findings=("chest",)),
        _marked("vasko", "deposition", "14:9-11", findings=("chest",)),
        _marked("vasko", "deposition", "14:12-15:3", findings=("scalp",)),
        _marked("vasko", "deposition", "15:4-5", findings=("forehead",)),
        _marked("vasko", "deposition", "15:6-7", topics=("Body length",)),
    ),
)
