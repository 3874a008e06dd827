"""Curricula vitae of the invented office's pathologists: invented schools, boards, numbers."""

from __future__ import annotations

from typing import Any

from me_office.demo.scenario import Act, InDays, OnDay, story, then


def _line(by: str, kind: str, title: str, **said: Any) -> Act:
    return Act(by, "record_qualification", {"kind": kind, "title": title, **said})


def _heard(by: str, about: str = "", **said: Any) -> Act:
    return Act(by, "list_testimony", said, about=about)


def _short(by: str, key: str, text: str, *, shared: bool = False) -> Act:
    return Act(by, "keep_short_key", {"key": key, "text": text, "shared": shared})


def _issued(by: str) -> Act:
    return Act(by, "issue_curriculum")


VASKO = story(
    then(
        OnDay(-30, "16:05"),
        _line("vasko", "license", "Medical license", place="State Board of Medicine of Tarn",
              number="TM-20417", from_year=2012, valid_until=InDays(410)),
        _line("vasko", "certification", "Anatomic and forensic pathology",
              place="Board of Pathologists of the Lake States", number="F-3381", from_year=2014,
              valid_until=InDays(800)),
        _line("vasko", "degree", "Doctor of Medicine", place="University of Harrowgate Falls",
              from_year=2007),
        _line("vasko", "training", "Residency, anatomic pathology", place="Lakeland Hospital",
              from_year=2007, to_year=2011),
        _line("vasko", "training", "Fellowship, forensic pathology",
              place="Office of the Medical Examiner, Corran County", from_year=2011, to_year=2012),
        _line("vasko", "appointment", "Forensic pathologist",
              place="Tarn County Medical Examiner", from_year=2012),
        _line("vasko", "publication", "Rib fractures in falls from ladders",
              place="Lakeland Review of Pathology 14, 201 to 209", from_year=2019),
        _heard("vasko", kind="trial", on_day=InDays(-402), caption="State v. Ambler",
               court="Corran County Superior Court", cause_number="CR-25-00881",
               called_by="prosecution"),
        _heard("vasko", kind="deposition", on_day=InDays(-790), caption="Reeve v. Lakeland Home",
               court="Tarn County Superior Court", cause_number="CV-24-01102",
               called_by="respondent"),
        _issued("vasko"),
    ),
    # Asked for by the subpoena of the criminal case, with what was counted since.
    then(
        OnDay(-2, "16:40"),
        _heard("vasko", about="deposition", caption="Wrenfield v. Marsh Mutual Assurance",
               court="Tarn County Superior Court", cause_number="CV-26-00418",
               called_by="plaintiff"),
        _issued("vasko"),
        Act("vasko", "choose_daily_mail", {"wanted": True, "address": "vasko@tarn.invalid"}),
        Act("thorne", "choose_daily_mail", {"wanted": True, "address": "thorne@tarn.invalid"}),
    ),
)  # fmt: skip
AMADI = story(
    then(
        OnDay(-26, "15:20"),
        _line("amadi", "license", "Medical license", place="State Board of Medicine of Tarn",
              number="TM-31906", from_year=2019, valid_until=InDays(9)),
        _line("amadi", "license", "Medical license", place="State Board of Medicine of Corran",
              number="C-7120", from_year=2016, to_year=2019),
        _line("amadi", "degree", "Doctor of Medicine", place="Saltmarsh College of Medicine",
              from_year=2012),
        _line("amadi", "training", "Fellowship, forensic pathology",
              place="Office of the Medical Examiner, Corran County", from_year=2018, to_year=2019),
        _line("amadi", "appointment", "Forensic pathologist",
              place="Tarn County Medical Examiner", from_year=2019),
        _issued("amadi"),
        _short("amadi", "nohem", "Incision shows no hemorrhage beneath it.", shared=True),
        _short("amadi", "lung", "The [ ] lung weighs [ ] g. The cut surface is [ ].", shared=True),
        _short("amadi", "pending", "Microscopy and toxicology are awaited."),
        Act("amadi", "add_office_word", {"word": "bogginess"}),
    )
)  # fmt: skip
