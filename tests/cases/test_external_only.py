"""Cases in which only the outside was examined, through their pages: first call to signature."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client, override_settings
from django.urls import reverse

from cases.models import Case
from cases.packets.material import material_of
from cases.packets.printing import report_values
from findings.models import Examination, Finding
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from tests.builders import PASSWORD, make_staff, with_password
from tests.cases.browsing import typed
from tests.cases.entries import ago, first_call, received
from tests.demo.every_form import read

pytestmark = pytest.mark.django_db
KINDS = dict(Examination.KINDS)
RULE = "Rule 4 of the office: no peer review where the body was not opened"
WHY = "Known heart disease, nothing that speaks for another cause."
CALL = first_call(
    heading="Death at home, under treatment",
    caller_name="N. Orrin, nurse",
    caller_role="Hospice nurse",
    caller_agency="",
    circumstances="Known heart failure; found dead in bed in the morning.",
)


@pytest.fixture(autouse=True)
def _quick_hash(settings: Any) -> None:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


def person(role: Role, name: str) -> tuple[Staff, Client]:
    made = with_password(make_staff(role, name=name))
    visitor = Client()
    visitor.force_login(made)
    return made, visitor


class Pages:
    """The pages of one case."""

    def __init__(self, case: Case) -> None:
        self.key = {"case_id": case.pk}

    def at(self, name: str, **more: Any) -> str:
        return reverse(name, kwargs=self.key | more)

    def shown(self, visitor: Client, name: str, **more: Any) -> str:
        answer = visitor.get(self.at(name, **more))
        assert answer.status_code == 200, name
        return answer.content.decode()

    def sent(self, visitor: Client, name: str, said: dict[str, Any], to: str = "", **more: Any):
        """Fill a form of a page in as it is shown, and send it."""
        address = self.at(name, **more)
        goes_to = self.at(to) if to else address
        shown = read(address, visitor.get(address))
        form = next(one for one in shown.forms if one.method == "post" and one.action == goes_to)
        held = {
            one.name: one.value or "on" if one.kind == "checkbox" else one.value
            for one in form.fields
        }
        entered = {key: value for key, value in typed(said).items() if key in said}
        # A whole moment stands in the field of its day alone.
        held |= {f"{key}_time": "" for key in entered if f"{key}_time" in held}
        return visitor.post(goes_to, held | entered)

    def saved(self, visitor: Client, name: str, said: dict[str, Any], to: str = "", **more: Any):
        answer = self.sent(visitor, name, said, to, **more)
        errors = answer.context["form"].errors if answer.status_code == 422 else ""
        assert answer.status_code == 302, f"{name}: {errors}"


@pytest.fixture
def vasko() -> tuple[Staff, Client]:
    return person(Role.PATHOLOGIST, "I. Vasko")


@pytest.fixture
def examined(vasko: tuple[Staff, Client], kind: str) -> Pages:
    """The case as it stands when its pathologist has opened the examination."""
    _, quill = person(Role.INVESTIGATOR, "E. Quill")
    assert quill.post(reverse("cases:log-report"), typed(CALL)).status_code == 302
    pages = Pages(Case.objects.get())
    pages.saved(
        quill, "cases:jurisdiction",
        {"outcome": "accepted", "ground": "unattended death", "reason": "Nobody was with him."},
    )  # fmt: skip
    pages.saved(quill, "cases:not-done", {"reason": "Moved before the call."}, kind="scene")
    pages.saved(quill, "cases:edit-receipt", received())
    pages.saved(
        quill, "cases:add-entry",
        {"identity": "confirmed", "method": "visual", "made_by": "H. Hallstead",
         "relation": "brother", "made_at": ago(hours=2), "basis": "The face is unchanged."},
        kind="identifications",
    )  # fmt: skip
    doctor, at_table = vasko
    _, thorne = person(Role.SUPERVISOR, "M. Thorne")
    pages.saved(thorne, "cases:assignment", {"pathologist": doctor.pk})
    opening = {
        "kind": kind, "chart_body": "adult_male", "began_at": ago(hours=1),
        "place": "Room 1", "circumstances_reviewed": "on",
    }  # fmt: skip
    refused = pages.sent(at_table, "findings:examination", opening)
    assert refused.status_code == 422
    assert "Say why" in refused.context["form"].errors["kind_reason"][0]
    pages.saved(at_table, "findings:examination", opening | {"kind_reason": WHY})
    return pages


def finish_examination(pages: Pages, at_table: Client) -> None:
    pages.saved(
        at_table, "findings:examination",
        {"external": "Well nourished man. No injury is seen.", "ended_at": ago(minutes=20)},
    )  # fmt: skip


def statements_offered(pages: Pages, at_table: Client) -> set[str]:
    address = pages.at("findings:examination")
    shown = read(address, at_table.get(address)).forms
    return {one.value for form in shown for one in form.fields if one.name == "statement"}


def write(pages: Pages, at_table: Client, kind: str) -> None:
    cause = {"cause_a": "Hypertensive heart disease", "manner": "natural"}
    pages.saved(at_table, "certification:cause-and-manner", cause | {"autopsy": "yes"})
    asked = (
        "Item 33 says that an autopsy was performed, and the examination is recorded as "
        f"{KINDS[kind]}. "
    )
    assert asked in pages.shown(at_table, "certification:cause-and-manner")
    standing = at_table.get(f"/api/cases/{pages.key['case_id']}/cause-and-manner/").json()
    assert any(said.startswith(asked) for said in standing["cautions"])
    pages.saved(at_table, "certification:cause-and-manner", cause | {"autopsy": "no"})
    assert "Item 33 says" not in pages.shown(at_table, "certification:cause-and-manner")
    pages.saved(
        at_table,
        "review:report",
        {"opinion": "He died of the heart disease that was known. The body was not opened."},
    )


@pytest.mark.parametrize(
    ("kind", "end"), [("external", "a colleague"), ("view and release", "by rule")]
)
def test_a_case_examined_from_outside_only_goes_from_first_call_to_signature(
    examined, vasko, kind, end
):
    pages, (_, at_table) = examined, vasko
    offered = statements_offered(pages, at_table)
    assert {"external-scalp", "treatment-none"} <= offered
    assert {key.partition("-")[0] for key in offered} == {"external", "treatment"}
    finish_examination(pages, at_table)
    assert "Cause and manner are not stated" in pages.shown(at_table, "review:report")
    write(pages, at_table, kind)
    shown = pages.shown(at_table, "review:report")
    assert "Before it can go to review" not in shown
    assert KINDS[kind] in shown and WHY in shown
    for absent in ("Internal examination", "Organ weights"):
        assert absent not in shown
    pages.saved(at_table, "review:report", {"own_password": PASSWORD}, to="review:submit")
    _, amadi = person(Role.PATHOLOGIST, "N. Amadi")
    if end == "a colleague":
        pages.saved(amadi, "review:review", {"own_password": PASSWORD}, to="review:sign")
        said = "Reviewed and signed by N. Amadi"
    else:
        with override_settings(REVIEW_WAIVED_FOR=frozenset({kind}), REVIEW_WAIVER_RULE=RULE):
            entry = {"words": "Known disease.", "own_password": PASSWORD}
            pages.saved(at_table, "review:review", entry, to="review:without")
        said = f"Not peer reviewed: {RULE}."
    case = Case.objects.get()
    assert case.state == "signed"
    printed = report_values(material_of(case.pk), with_photographs=False)
    assert printed["sign_off"]["author"] == "I. Vasko"
    reviewer = "N. Amadi" if end == "a colleague" else ""
    assert printed["sign_off"]["reviewer"] == reviewer
    assert reviewer or printed["sign_off"]["review"].startswith(said)
    signed = pages.shown(amadi, "review:report")
    assert said in pages.shown(amadi, "review:review")
    assert "Signed text" in signed and "Internal examination" not in signed
    facts = {fact["label"]: fact["text"] for fact in printed["facts"]}
    assert facts["Examined"].endswith(f", {KINDS[kind]}")
    assert facts["Why this examination"] == WHY
    assert "moved before the call" in facts["Scene"].lower()
    assert Finding.objects.count() == 0
