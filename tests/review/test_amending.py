"""After the signature a datum changes by a signed amendment only; the database holds it so."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from cases.access import TABLE, Act
from cases.actions import record_person
from cases.certification.forms import CertificationForm
from cases.certification.items import PREGNANCY
from cases.certification.models import Certification
from cases.certification.rules import manner_words
from cases.models import Case, Decedent, Identification
from cases.packets.material import material_of
from cases.packets.printing import report_values
from cases.review import amending
from cases.review.amend_layout import GROUPS, OTHER, groups_of
from cases.review.amend_views import FORMS
from cases.review.content import report_content
from cases.review.lock import locked_tables
from cases.review.models import Addendum, ReportDraft
from cases.review.queries import passages_of, written_before
from cases.rules.after_signature import ACTS_THAT_FOLLOW, MAY_FOLLOW
from cases.rules.case import CaseState
from evidence.specimens.models import Specimen
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from tests.builders import MOMENT, PASSWORD, as_person, make_staff, with_password
from tests.demo.every_form import read
from tests.evidence.items import take
from tests.review.test_review import make_ready, signed


@pytest.fixture(scope="module")
def _signed_once(made_once, people_once):
    """The file's signed case: two specimens of one site."""

    def build():
        case, vasko, thorne = make_ready(people_once)
        for number in ("TC 0417", "TC 0418"):
            take(vasko, case, site="Femoral vein", seal_number=number, purpose="")
        signed(case, vasko, thorne)
        return case, vasko, thorne

    return made_once(build)


def amend(
    actor,
    case,
    what="cause-and-manner",
    version=1,
    key=None,
    why="Toxicology",
    of=None,
    **entry: Any,
):
    return amending.amend_record(
        actor, case_id=case.pk, record_id=key or new_id(), what=what, version=version,
        entry=entry, reason=why, of=of,
    )  # fmt: skip


@pytest.mark.django_db
def test_a_manner_is_amended_and_both_are_printed(signed_once):
    case, vasko, _ = signed_once
    draft = ReportDraft.objects.get(case=case)
    made = amend(vasko, case, manner="homicide")
    assert Certification.objects.get(case=case).manner == "homicide"
    assert (made.kind, made.signed_as, made.why) == ("amendment", "I. Vasko, MD", "Toxicology")
    assert "accident → homicide" in made.text
    assert ReportDraft.objects.get(pk=draft.pk).sha256 == draft.sha256
    passage = made.passages.get(key="manner")
    assert (passage.was, passage.now) == ("accident", "homicide")
    values = report_values(material_of(case.pk), with_photographs=False)
    (manner,) = [
        one for section in values["sections"] for one in section["passages"]
        if one["lead"] == "Manner of death"
    ]  # fmt: skip
    assert manner["text"] == "accident"
    assert manner["amended"] == [1]
    said = {one["lead"]: one["words"] for one in values["addenda"][0]["passages"]}
    assert said["Manner of death"] == "Now: homicide."
    assert values["addenda"][0]["why"] == "Toxicology"
    page = as_person(vasko).get(reverse("review:report", kwargs={"case_id": case.pk}))
    text = page.content.decode()
    assert "Amended by" in text
    assert "Now: homicide" in text
    # The opinion was written for the cause and manner that were signed: it says so, twice.
    assert text.count("As signed,</strong> before") == 1
    (opinion,) = [
        one for section in values["sections"] for one in section["passages"]
        if one["text"].startswith("He died of the injuries")
    ]  # fmt: skip
    assert opinion["amended"] == [1]
    assert said["Opinion"] == (
        "As signed, before this amendment changed the cause or the manner of death."
    )
    # With a later amendment of the name alone it is still the first that changed it; a basis
    # that is amended with the manner is no longer the signed one.
    amend(vasko, case, "decedent", family_name="Hallsted")
    amend(vasko, case, version=2, manner="suicide", basis="The letter")
    addenda = list(Addendum.objects.order_by("number").prefetch_related("passages"))
    content = report_content(case.pk)
    assert "basis" in {one["key"] for one in passages_of(content)}
    before = {key: one.number for key, one in written_before(addenda, content).items()}
    assert before == {"opinion-1": 3}
    before = {key: one.number for key, one in written_before(addenda[:2], content).items()}
    assert before == {"basis": 1, "opinion-1": 1}
    assert written_before(addenda[1:2], content) == {}


@pytest.mark.django_db
def test_an_unknown_man_is_identified_years_later(ready):
    case, vasko, thorne = ready
    Decedent.objects.filter(case=case).update(
        family_name="", given_names="", working_name="Unknown man, weir", search_name="Unknown man"
    )
    signed(case, vasko, thorne)
    amend(vasko, case, "decedent", family_name="Morrow", given_names="Ansel",
          also_known_as="Unknown man, weir", why="DNA")  # fmt: skip
    amending.amend_identity(
        vasko, case_id=case.pk, record_id=new_id(), step_id=new_id(), reason="DNA",
        entry={"identity": "confirmed", "method": "dna", "made_by": "State laboratory",
               "made_at": MOMENT, "basis": "Sister", "relation": ""},
    )  # fmt: skip
    decedent = Decedent.objects.get(case=case)
    assert (decedent.identity, decedent.full_name) == ("confirmed", "Ansel Morrow")
    assert {"morrow", "weir"} <= set(decedent.search_name.lower().replace(",", "").split())
    keys = {one.key for addendum in Addendum.objects.all() for one in addendum.passages.all()}
    assert "fact-Decedent" in keys
    assert any(key.startswith("identity") for key in keys)


@pytest.mark.django_db
def test_who_may_amend_and_what_is_refused(ready, signed_once):
    open_case, author, _ = ready
    with pytest.raises(NotAllowed):
        amend(author, open_case, manner="homicide")
    case, vasko, _ = signed_once
    with pytest.raises(NotAllowed, match="pathologist amends"):
        amend(make_staff(Role.SUPERVISOR), case, manner="homicide")
    with pytest.raises(NotAllowed):
        amend(make_staff(Role.RECORDS_CLERK), case, manner="homicide")
    with pytest.raises(StaleRecord):
        amend(vasko, case, version=2, manner="homicide")
    with pytest.raises(Refused, match="Nothing was changed"):
        amend(vasko, case, manner="accident")
    with pytest.raises(Refused, match="Say why"):
        amend(vasko, case, manner="homicide", why=" ")
    key = new_id()
    first = amend(vasko, case, key=key, manner="homicide")
    assert amend(vasko, case, key=key, manner="homicide").pk == first.pk
    for other in (
        {"manner": "suicide", "why": "Other"},
        {"manner": "suicide"},
        {"manner": "homicide", "cause_b": "Fall"},
        {"manner": "homicide", "why": "Other"},
    ):
        with pytest.raises(Conflict):
            amend(vasko, case, key=key, **other)
    with pytest.raises(Conflict):
        amend(vasko, case, "decedent", key=key, family_name="Other")
    # Said again after a later amendment of another field, it is still the same.
    amend(vasko, case, version=2, cause_b="Fall")
    assert amend(vasko, case, key=key, manner="homicide", cause_b="").pk == first.pk
    assert Addendum.objects.count() == 2
    with pytest.raises(NotAllowed):
        amend(make_staff(Role.RECORDS_CLERK), case, key=key, manner="homicide")


STEP = {"identity": "confirmed", "method": "dna", "made_by": "State laboratory",
        "made_at": MOMENT, "basis": "Sister", "relation": ""}  # fmt: skip


@pytest.mark.django_db
def test_a_step_of_identification_sent_twice_is_one_and_another_under_its_key_is_refused(
    signed_once,
):
    case, vasko, _ = signed_once
    sent = {"case_id": case.pk, "record_id": new_id(), "reason": "DNA"}
    first = amending.amend_identity(vasko, step_id=new_id(), entry=STEP, **sent)
    again = amending.amend_identity(vasko, step_id=new_id(), entry=STEP, **sent)
    assert again.pk == first.pk
    with pytest.raises(Conflict):
        amending.amend_identity(
            vasko, step_id=new_id(), entry={**STEP, "made_by": "Another laboratory"}, **sent
        )
    assert Identification.objects.filter(case=case, method="dna").count() == 1


@pytest.mark.django_db
def test_a_specimen_is_amended_with_its_item_by_action_page_and_api(signed_once):
    case, vasko, _ = signed_once
    with_password(vasko)
    taken, other = Specimen.objects.filter(case=case).order_by("item__number")
    made = amend(vasko, case, "specimen", of=taken.pk, site="Subclavian vein", why="Label read")
    taken.refresh_from_db()
    number = taken.item.number
    assert taken.site == "Subclavian vein" and taken.item.title.endswith("Subclavian vein")
    assert made.text == f"Item {number}, site: Femoral vein → Subclavian vein"
    with pytest.raises(NotKnown):
        amend(vasko, case, "specimen", of=new_id(), site="Heart")
    with pytest.raises(NotKnown):
        amend(vasko, case, "specimen", site="Heart")
    person = as_person(vasko)
    listed = person.get(reverse("review:addenda", args=[case.pk])).content.decode()
    page = reverse("review:amend-one", args=[case.pk, "specimen", other.pk])
    assert page in listed
    shown = person.get(page).content.decode()
    assert ">Now:</span> Femoral vein</p>" in shown
    typed = {**{name: getattr(other, name) or "" for name in amending.TARGETS["specimen"].names},
             "version": "1", "site": "Heart", "why": "Label read", "record_id": str(new_id()),
             "own_password": PASSWORD}  # fmt: skip
    assert person.post(page, typed).status_code == 302
    other.refresh_from_db()
    assert other.site == "Heart"
    for wrong in (reverse("review:amend", args=[case.pk, "specimen"]),
                  reverse("review:amend-one", args=[case.pk, "decedent", other.pk])):  # fmt: skip
        assert person.get(wrong).status_code == 404
    where = reverse("review_api:amend-specimen", args=[case.pk, other.pk])
    body = {"id": str(new_id()), "version": 2, "site": "Vitreous", "why": "Label read"}
    sent = {"content_type": "application/json"}
    refused = person.post(where, {**body, "password": "wrong"}, **sent)
    assert refused.status_code in (400, 409, 422) and refused.json()["field"] == "password"
    answered = person.post(where, {**body, "password": PASSWORD}, **sent)
    assert answered.status_code == 201, answered.content
    other.refresh_from_db()
    assert (other.site, other.version) == ("Vitreous", 3)


@pytest.mark.django_db
def test_the_api_amends_manner_name_and_identity(signed_once):
    case, vasko, _ = signed_once
    with_password(vasko)
    person, sent = as_person(vasko), {"content_type": "application/json"}
    step = {**STEP, "made_at": MOMENT.isoformat(), "step_id": str(new_id())}
    for name, fields in (
        ("cause-and-manner", {"version": 1, "manner": "homicide"}),
        ("decedent", {"version": 1, "family_name": "Hallsted"}),
        ("identification", step),
    ):
        body = {"id": str(new_id()), "why": "Toxicology", "password": PASSWORD, **fields}
        answered = person.post(reverse(f"review_api:amend-{name}", args=[case.pk]), body, **sent)
        assert answered.status_code == 201, (name, answered.content)
    decedent = Decedent.objects.get(case=case)
    assert (decedent.family_name, decedent.identity) == ("Hallsted", "confirmed")
    assert Certification.objects.get(case=case).manner == "homicide"
    assert Addendum.objects.filter(case=case).count() == 3


@pytest.mark.django_db
def test_next_of_kin_go_on_after_the_signature_and_witnesses_do_not(signed_once):
    case, _, _ = signed_once
    quill = make_staff(Role.INVESTIGATOR)
    kin, key = {"part": "next of kin", "name": "E. Hallstead"}, new_id()
    record_person(quill, case_id=case.pk, record_id=key, entry=kin)
    told = {**kin, "notified_at": MOMENT}
    assert record_person(quill, case_id=case.pk, record_id=key, version=1, entry=told).notified_at
    for entry, record, version in (
        ({"part": "witness", "name": "Somebody"}, new_id(), 0),
        ({"part": "witness", "name": "E. Hallstead"}, key, 2),
    ):
        with pytest.raises(NotAllowed):
            record_person(quill, case_id=case.pk, record_id=record, version=version, entry=entry)


def test_one_table_says_what_may_follow_a_signature():
    following = {act.name for act, (_, states) in TABLE.items() if CaseState.SIGNED in states}
    only_read = {Act.SEE.name, Act.ANSWER_AS_WITNESS.name}
    assert following - only_read == set(ACTS_THAT_FOLLOW) - only_read
    locked = {table for table, moments, _ in locked_tables() if "INSERT" in moments}
    assert {"findings_finding", "certification_certification", "evidence_specimen",
            "cases_decedent", "review_reviewdecision"} <= locked  # fmt: skip
    assert not locked & {name for name, one in MAY_FOLLOW.items() if one.adds}


@pytest.mark.django_db
def test_an_open_case_is_not_locked_and_the_text_follows_it(ready):
    case, _, _ = ready
    Certification.objects.filter(case=case).update(manner="suicide")
    Case.objects.filter(pk=case.pk).update(heading="Fall")
    said = {one["key"]: one["text"] for one in passages_of(report_content(case.pk))}
    assert said["manner"] == "suicide"


def as_sent(page: str, answer: Any) -> dict[str, list[str]]:
    """What a browser sends of the page's last form: each field by its name, in their order."""
    sent: dict[str, list[str]] = {}
    for one in read(page, answer).forms[-1].fields:
        sent.setdefault(one.name, []).append(one.value)
    return sent


@pytest.mark.django_db
def test_a_page_of_an_amendment_is_sent_as_it_is_shown(signed_once):
    case, vasko, _ = signed_once
    with_password(vasko)
    made = Specimen.objects.filter(case=case).first()
    browser = as_person(vasko)
    pages = {
        reverse("review:amend", args=[case.pk, "cause-and-manner"]): ("cause_a", "Blunt impact"),
        reverse("review:amend", args=[case.pk, "decedent"]): ("family_name", "Hallsted"),
        reverse("review:amend-one", args=[case.pk, "specimen", made.pk]): ("site", "Heart"),
        reverse("review:amend", args=[case.pk, "identification"]): (
            "basis",
            "Comparison of profiles",
        ),
    }
    first = next(iter(pages))
    for page, (name, typed) in pages.items():
        shown = as_sent(page, browser.get(page))
        said = {**shown, name: [typed], "why": ["New result"], "own_password": [PASSWORD]}
        if page.endswith("identification/"):
            said |= {"identity": ["confirmed"], "method": ["dna"], "made_by": ["Laboratory"],
                     "made_at": [f"{MOMENT:%Y-%m-%dT%H:%M}"]}  # fmt: skip
        done = browser.post(page, said)
        assert done.status_code == 302, done.content.decode()[-3000:]
    assert Certification.objects.get(case=case).cause_a == "Blunt impact"
    # What changed meanwhile is shown beside what is typed; sending it again is a choice.
    stale = browser.post(first, {
        "version": "1", "manner": "homicide", "cause_a": "Fall", "why": "Seen",
        "record_id": str(new_id()), "own_password": PASSWORD,
    })  # fmt: skip
    again = stale.content.decode()
    assert stale.status_code == 422 and "Blunt impact" in again[again.index("<tbody>") :]
    said = {**as_sent(first, stale), "own_password": [PASSWORD]}
    assert said["version"] == ["2"]
    assert browser.post(first, said).status_code == 302
    assert Certification.objects.get(case=case).cause_a == "Fall"


@pytest.mark.django_db
def test_the_pages_amend_with_reason_and_password(signed_once):
    case, vasko, _ = signed_once
    with_password(vasko)
    page = as_person(vasko)
    for what in ("cause-and-manner", "decedent", "identification"):
        address = reverse("review:amend", kwargs={"case_id": case.pk, "what": what})
        assert page.get(address).status_code == 200
    address = reverse("review:amend", kwargs={"case_id": case.pk, "what": "cause-and-manner"})
    text = page.get(address).content.decode()
    assert text.count("Reason</label>") == 1 and "Reason for the change" not in text
    address = reverse("review:amend", kwargs={"case_id": case.pk, "what": "decedent"})
    entry = {
        "version": "1", "family_name": "Hallsted", "given_names": "Oren", "why": "Spelling",
        "record_id": str(new_id()), "own_password": "wrong",
    }  # fmt: skip
    refused = page.post(address, entry)
    assert refused.status_code == 422
    # What is typed stands beside what the record says, not beside itself.
    assert ">Now:</span> Hallstead</p>" in refused.content.decode()
    done = page.post(address, {**entry, "own_password": PASSWORD})
    assert done.status_code == 302, done.content.decode()[-3000:]
    assert Decedent.objects.get(case=case).family_name == "Hallsted"
    assert (
        "Hallstead → Hallsted"
        in page.get(reverse("review:addenda", kwargs={"case_id": case.pk})).content.decode()
    )


@pytest.mark.django_db
def test_every_field_of_an_amendment_stands_in_one_group_and_folded_ones_open_when_needed():
    for what, model in (("cause-and-manner", Certification), ("decedent", Decedent)):
        names = [name for _, _, group in GROUPS[what] for name in group]
        assert sorted(names) == sorted(amending.TARGETS[what].names)
        form = FORMS[what](instance=model())
        groups = groups_of(what, form, model())
        assert OTHER not in {group.title for group in groups}
        assert [group.is_open for group in groups] == [is_open for _, is_open, _ in GROUPS[what]]
    typed = CertificationForm({"injury_city": "Millford"}, instance=Certification())
    shown = groups_of("cause-and-manner", typed, Certification())
    assert {group.title: group.is_open for group in shown} == {
        "Manner of death": True, "Cause of death": True, "What the opinion rests on": False,
        "Injury": True, "Date and place of death": False, "Autopsy, tobacco, pregnancy": False,
        "The certifier": False,
    }  # fmt: skip


@pytest.mark.django_db
def test_an_amendment_speaks_in_words_and_names_the_line(signed_once):
    case, vasko, _ = signed_once
    made = amend(
        vasko, case, manner="undetermined", pregnancy="1", cause_b="Fall", interval_b="minutes"
    )
    said = dict(line.split(": ", 1) for line in made.text.splitlines())
    assert said["Manner"].endswith(f"→ {manner_words('undetermined')}")
    assert said["Cause of death, line b"].endswith("→ Fall")
    assert said["Interval, line b"].endswith("→ minutes")
    pregnancy = dict(PREGNANCY)["1"]
    assert pregnancy not in ("", "1") and said["Pregnancy"].endswith(f"→ {pregnancy}")
