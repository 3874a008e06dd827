"""What the stories of the demonstration tell, before anything of them is loaded."""

from __future__ import annotations

import re

from django.utils import timezone

from me_office.accounts.roles import Role
from me_office.demo import play
from me_office.demo.cases import CASES
from me_office.demo.office import PASSWORD, STAFF
from me_office.demo.scenario import Act

# Words that would make the office, its people or its makers real ones.
REAL_WORLD = (
    "new york", "london", "texas", "california", "florida", "chicago", "boston", "ohio",
    "smith", "jones", "johnson", "kennedy", "google", "apple", "microsoft", "toyota", "ford motor",
    "canon", "nikon", "glock", "smith & wesson", "winchester", "narcan", "valium", "oxycontin",
    "fbi", "nypd", "walmart", "facebook", "lorem",
)  # fmt: skip
# Nothing gruesome: what a sober report has no need to say.
LURID = ("gore", "gory", "mutilat", "horrif", "gruesome", "butcher", "blood-soaked", "agony")
BRITISH = (
    "torch", "grey", "neighbour", "inn", "cellar", "fibres", "films", "telephone", "colour",
    "flatmate",
)  # fmt: skip


def test_every_role_has_somebody_and_the_password_is_long_enough() -> None:
    assert {member.role for member in STAFF} == set(Role)
    assert len(PASSWORD) >= 12


def test_nothing_real_and_nothing_lurid_is_named() -> None:
    said = " ".join(str(act) for case in CASES for act in case.acts).lower()
    assert [word for word in REAL_WORLD if re.search(rf"\b{re.escape(word)}\b", said)] == []
    # From the start of a word: "gory" stands inside "category".
    assert [word for word in LURID if re.search(rf"\b{re.escape(word)}", said)] == []


def acts_of(name: str) -> list[Act]:
    return list(next(case for case in CASES if case.name == name).acts)


def test_a_medicine_on_a_photograph_counts_as_the_record_does() -> None:
    shown = 0
    for case in CASES:
        recorded = [act.entry for act in case.acts if act.do == "record_medication"]
        for act in case.acts:
            picture = act.more.get("picture")
            if picture is None or picture.kind != "medication":
                continue
            shown += 1
            name, _, strength = picture.options["text"].partition(" ")
            (of,) = [
                each for each in recorded if (each["name"], each["strength"]) == (name, strength)
            ]
            assert picture.options["count"] == of["quantity_found"]
            assert picture.options["dispensed"] == of["quantity_dispensed"]
            assert picture.options["directions"].partition(" tablet ")[2] in of["directions"]
    assert shown


def test_tubes_on_a_photograph_are_specimens_of_the_case_by_their_numbers() -> None:
    for case in CASES:
        taken = [act.entry["material"].lower() for act in case.acts if act.do == "take_specimen"]
        for act in case.acts:
            picture = act.more.get("picture")
            if picture is not None and picture.kind == "specimen_tubes":
                held = picture.options["contents"]
                assert held == taken[: len(held)]


def test_no_signed_cause_rests_on_a_specimen_that_never_left_the_office() -> None:
    for case in CASES:
        if not any(act.do == "sign_off" for act in case.acts):
            continue
        basis = next(act.entry["basis"] for act in case.acts if act.do == "state_cause_and_manner")
        if "blood" not in basis.lower():
            continue
        sent = {act.about for act in case.acts if act.do == "record_transfer"
                and act.entry["purpose"] == "analysis"}  # fmt: skip
        blood = {act.name for act in case.acts if act.do == "take_specimen"
                 and act.entry["material"] == "Blood"}  # fmt: skip
        assert blood & sent, case.name


def test_no_case_is_signed_on_nothing() -> None:
    for name in ("quennell", "wrenfield", "tamsin"):
        acts = acts_of(name)
        negatives = sum(
            act.do in ("confirm_negative", "state_part_negative")
            or (act.do == "decide_part" and act.entry["decision"] == "stated negative")
            for act in acts
        )
        assert negatives >= 10, name
        assert sum(act.do == "weigh_organ" for act in acts) >= 6


def test_every_time_of_the_statement_agrees_with_the_clock() -> None:
    # Said in words beside a time of the record; both in the office's own time.
    for name, said, at in (
        ("lowell", "at about two", "02:05"),
        ("tamsin", "quarter past ten", "22:15"),
    ):
        case = next(each for each in CASES if each.name == name)
        zero = play.zero_hour(case, timezone.now())
        reported = next(act for act in case.acts if act.do == "log_report_of_death")
        assert (zero + reported.entry["last_alive_at"]).strftime("%H:%M") == at
        assert any(said in act.entry.get("statement", "") for act in case.acts)


def test_the_office_writes_american_english() -> None:
    words = []
    for case in CASES:
        for act in case.acts:
            words += [str(value) for value in (*act.entry.values(), act.reason)]
    said = " ".join(words).lower()
    assert [word for word in BRITISH if re.search(rf"\b{word}\b", said)] == []
