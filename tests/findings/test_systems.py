"""The internal examination by system: actions, pages, API, and what the report says of it."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.review.content import report_content
from findings import actions as examination_actions
from findings.models import Examination
from findings.organs.actions import weigh_organ
from findings.organs.models import OrganWeight
from findings.questions.queries import questions_of
from findings.systems import queries
from findings.systems.actions import (
    decide_part,
    leave_system_out,
    state_part_negative,
    use_template,
)
from findings.systems.models import MicroscopicSlide, SystemPart, SystemTemplate
from findings.systems.offered import STANDARD
from findings.systems.template_actions import (
    add_system_template,
    change_system_template,
    void_system_template,
)
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, Invalid, NotAllowed, NotKnown, Refused, StaleRecord
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from tests.builders import make_staff
from tests.findings.builders import make_examination, make_finding
from tests.findings.test_api import Api

pytestmark = pytest.mark.django_db


def decide(examination, part, decision="described", *, by=None, version=0, **more):
    entry = {"decision": decision, **more.pop("entry", {})}
    for name in ("words", "why", "sentences"):
        if name in more:
            entry[name] = more.pop(name)
    return decide_part(
        by or examination.pathologist,
        case_id=examination.case_id,
        part=part,
        record_id=more.pop("record_id", None) or new_id(),
        version=version,
        entry=entry,
        **more,
    )


def lay(examination, system, template=STANDARD, **more):
    return use_template(
        examination.pathologist, case_id=examination.case_id, system=system, template=template,
        **more,
    )  # fmt: skip


def internal(examination):
    sections = {one["key"]: one for one in report_content(examination.case_id)["sections"]}
    return {
        one["key"]: one["text"] for one in sections.get("internal", {"passages": []})["passages"]
    }


def test_a_part_is_decided_changed_and_taken_back(examination):
    row = decide(examination, "liver", words="the liver is yellow")
    assert (row.version, row.said) == (1, "The liver is yellow.")
    assert internal(examination) == {"internal-liver-1": "The liver is yellow."}
    row = decide(examination, "liver", "stated negative", version=1, words="")
    assert (row.version, row.said) == (2, "The liver shows no injury.")
    row = decide(examination, "liver", "", version=2, words="Perhaps yellow.")
    assert (row.said, row.words) == ("", "Perhaps yellow.")
    assert internal(examination) == {}
    acts = AuditEvent.objects.filter(record_id=str(row.pk)).order_by("id")
    assert [one.act for one in acts] == ["decide_part"] * 3
    assert acts[1].changes["said"] == ["The liver is yellow.", "The liver shows no injury."]


def test_one_part_is_written_by_one_at_a_time(examination):
    key = new_id()
    row = decide(examination, "liver", words="Yellow.", record_id=key)
    assert decide(examination, "liver", words="Yellow.", record_id=key) == row
    with pytest.raises(Conflict):
        decide(examination, "liver", words="Brown.", record_id=key)
    with pytest.raises(StaleRecord) as stale:
        decide(examination, "liver", words="Brown.")
    assert stale.value.record.words == "Yellow."
    with pytest.raises(StaleRecord):
        decide(examination, "liver", words="Brown.", version=9)
    with pytest.raises(NotKnown):
        decide(examination, "spleen", words="Soft.", version=1)
    with pytest.raises(NotKnown):
        decide(examination, "gizzard", words="Full.")


@pytest.mark.parametrize("role", [role for role in Role if role is not Role.PATHOLOGIST])
def test_only_a_pathologist_decides(examination, role):
    other = make_staff(role)
    for call in (
        lambda: decide(examination, "liver", words="Yellow.", by=other),
        lambda: use_template(other, case_id=examination.case_id, system="liver", template=STANDARD),
        lambda: leave_system_out(other, case_id=examination.case_id, system="liver", why="So."),
        lambda: add_system_template(
            other, record_id=new_id(), entry={"system": "liver", "title": "A", "lines": {}}
        ),
    ):
        with pytest.raises((NotAllowed, NotKnown)):
            call()


def test_two_at_one_part_lose_nothing(at_once):
    examination = make_examination()
    other = make_staff(Role.PATHOLOGIST)
    results = at_once(
        decide_part,
        by=[examination.pathologist, other],
        each=[
            {"record_id": new_id(), "entry": {"decision": "described", "words": f"Words {n}."}}
            for n in (1, 2)
        ],
        case_id=examination.case_id,
        part="liver",
        version=0,
    )
    assert sorted(one.code for one in results) == ["done", "stale"]
    lost = next(one for one in results if one.code == "stale")
    assert lost.error.record.said == SystemPart.objects.get().said


def test_the_sentences_of_a_template_are_kept_or_struck(examination):
    lay(examination, "cardiovascular")
    heart = queries.part_of(examination.case, "heart")
    assert [one["text"] for one in heart.sentences] == [
        "The heart shows no injury.",
        "{weight of heart in g}",
        "The heart is of the usual shape.",
        "The left ventricle is dilated.",
    ]
    assert (heart.decision, heart.said, internal(examination)) == ("", "", {})
    answers = [{"kept": True}, {"kept": True}, {"kept": False}, {"kept": None}]
    with pytest.raises(Invalid) as wrong:
        decide(examination, "heart", version=1, sentences=answers)
    assert wrong.value.errors.keys() == {"sentence_2", "sentence_4"}
    answers[3] = {"kept": False}
    answers[1]["filled"] = {"weight of heart in g": "0"}
    with pytest.raises(Invalid) as wrong:
        decide(examination, "heart", version=1, sentences=answers)
    assert wrong.value.errors == {"sentence_2": ["Between 0 and 20,000 g."]}
    answers[1]["filled"] = {"weight of heart in g": "412.5"}
    heart = decide(examination, "heart", version=1, sentences=answers)
    assert heart.said == "The heart shows no injury."
    # The weight stands in one place, and is not asked for again.
    assert OrganWeight.objects.get().weight_g == Decimal("412.5")
    assert "412" not in str(heart.sentences)
    decide(examination, "heart", version=2, sentences=[{"kept": True}, *answers[1:]])
    assert OrganWeight.objects.count() == 1
    with pytest.raises(Refused, match="4 sentences were laid"):
        decide(examination, "heart", version=3, sentences=[])
    with pytest.raises(Refused, match="has its sentences already"):
        lay(examination, "cardiovascular")


def test_a_weight_that_stands_is_offered(examination, client):
    weigh_organ(
        examination.pathologist, case_id=examination.case_id, record_id=new_id(),
        entry={"organ": "heart", "weight_g": "390"},
    )  # fmt: skip
    lay(examination, "cardiovascular")
    client.force_login(examination.pathologist)
    page = client.get(reverse("findings:system-part", args=[examination.case_id, "heart"]))
    assert "The heart is weighed already" in page.content.decode()
    answer = client.post(
        reverse("findings:system-part", args=[examination.case_id, "heart"]),
        {"version": 1, "decision": "described", "sentence_1": "keep", "sentence_2": "keep",
         "sentence_3": "strike", "sentence_4": "strike", "record_id": new_id()},
    )  # fmt: skip
    assert answer.status_code == 302, answer.content.decode()
    assert queries.part_of(examination.case, "heart").said == "The heart shows no injury."


def test_the_rest_of_a_system_is_left_out_with_its_reason(examination):
    state_part_negative(
        examination.pathologist, case_id=examination.case_id, part="kidneys", version=0
    )
    leave_system_out(
        examination.pathologist, case_id=examination.case_id, system="urinary", why="Lost in fire"
    )
    assert internal(examination) == {
        "internal-urinary-1": "The kidneys show no injury.",
        "internal-urinary-left-out": "The ureters and the urinary bladder were not examined: "
        "Lost in fire.",
    }
    with pytest.raises(Refused, match="Every part"):
        leave_system_out(
            examination.pathologist, case_id=examination.case_id, system="urinary", why="Again"
        )


def test_parts_that_are_not_asked_of_this_body_are_not_left_out_either(examination):
    examination.case.decedent.sex = "male"
    examination.case.decedent.save()
    leave_system_out(
        examination.pathologist, case_id=examination.case_id, system="reproductive", why="Burned"
    )
    (said,) = internal(examination).values()
    assert "prostate" in said and "uterus" not in said
    assert queries.part_of(examination.case, "uterus") is None


def test_after_the_end_a_reason_is_asked(examination):
    Examination.objects.filter(pk=examination.pk).update(ended_at=timezone.now())
    with pytest.raises(Refused, match="Say why"):
        decide(examination, "liver", words="Yellow.")
    assert decide(examination, "liver", words="Yellow.", reason="Forgotten").said
    rest = {"case_id": examination.case_id, "system": "cardiovascular", "why": "Burned"}
    with pytest.raises(Refused, match="Say why"):
        leave_system_out(examination.pathologist, **rest)
    assert leave_system_out(examination.pathologist, reason="Forgotten", **rest)
    # Nothing is recorded by laying sentences.
    lay(examination, "urinary")


def test_the_database_keeps_what_is_not_decided_out_of_the_report(examination):
    row = decide(examination, "liver", words="Yellow.")
    for wrong in ({"decision": ""}, {"said": ""}, {"said": "It weighs {weight}."}):
        with pytest.raises(IntegrityError), transaction.atomic():
            SystemPart.objects.filter(pk=row.pk).update(**wrong)


def test_a_negative_is_compared_with_the_findings(examination):
    decide(examination, "hyoid", "stated negative")
    decide(examination, "lymph-nodes", "stated negative")
    assert questions_of(examination.case) == []
    make_finding(examination, term="Hyoid fracture")
    make_finding(examination, klass="natural disease", term="Enlarged lymph nodes")
    asked = [one.words for one in questions_of(examination.case)]
    assert [words.split("”")[0] for words in asked] == [
        "“The lymph nodes are not enlarged.", "“The hyoid bone is intact.",
    ] or len(asked) == 2  # fmt: skip
    finding = make_finding(examination, term="Hyoid fracture")
    assert "The hyoid bone is intact." in str(questions_about_one(finding))


def questions_about_one(finding):
    from findings.queries import finding_for_page
    from findings.questions.queries import questions_about

    return questions_about(finding_for_page(finding.case, finding.pk))


def test_what_stood_before_is_printed_as_it_was(examination):
    examination_actions.record_examination(
        examination.pathologist,
        case_id=examination.case_id,
        version=1,
        entry={
            "cavities": "No fluid.", "internal": "Sound.", "lad_percent": 80,
            "blood_abdomen_ml": 300, "deep_dissection": "None.",
        },
    )  # fmt: skip
    written = internal(examination)
    assert list(written) == [f"internal-{n}" for n in range(1, 6)]
    decide(examination, "coronary-arteries", words="An old plaque.")
    after = internal(examination)
    assert after["internal-cardiovascular-2"] == f"An old plaque. {written['internal-4']}"
    assert [after[f"internal-{n}"] for n in range(1, 5)] == [
        written["internal-1"], written["internal-2"], written["internal-3"], written["internal-5"],
    ]  # fmt: skip


def add(by, **entry):
    said = {"system": "urinary", "title": "Adult", "lines": {"bladder": ["It is empty."]}, **entry}
    return add_system_template(by, record_id=new_id(), entry=said)


def test_a_template_has_editions_and_what_was_laid_keeps_its_words(examination):
    vasko = examination.pathologist
    first = add(vasko, stands_for_standard=True)
    assert [one.title for one in queries.templates_for("urinary")] == ["Adult, edition 1"]
    lay(examination, "urinary", str(first.pk))
    change = {"template_id": first.pk, "record_id": new_id(), "version": 1}
    with pytest.raises(Refused, match="Say why"):
        change_system_template(vasko, entry={"lines": {"bladder": ["It is full."]}}, **change)
    with pytest.raises(Invalid) as wrong:
        change_system_template(vasko, entry={"lines": {"bladder": ["full"]}}, reason="x", **change)
    assert wrong.value.errors.keys() == {"bladder"}
    said = {"lines": {"bladder": [" It  is full. ", ""]}}
    second = change_system_template(vasko, entry=said, reason="Clearer", **change)
    assert change_system_template(vasko, entry=said, reason="Clearer", **change) == second
    assert (second.number, second.lines) == (2, {"bladder": ["It is full."]})
    assert [one.number for one in queries.editions_of(second)] == [2, 1]
    with pytest.raises(StaleRecord):
        change_system_template(
            vasko, entry=said, reason="Late", template_id=first.pk, record_id=new_id(), version=1
        )
    with pytest.raises(NotKnown):
        lay(examination, "urinary", str(first.pk))
    bladder = queries.part_of(examination.case, "bladder")
    assert [one["text"] for one in bladder.sentences][1:] == ["It is empty."]
    assert bladder.sentences[1]["template"] == "Adult, edition 1"
    with pytest.raises(Invalid, match="this name already"):
        add(vasko)
    void_system_template(vasko, template_id=second.pk, version=1, reason="Not used")
    assert [one.title for one in queries.templates_for("urinary")] == [STANDARD]
    assert SystemTemplate.objects.count() == 2


def test_templates_are_kept_on_their_pages(examination, client):
    client.force_login(examination.pathologist)
    page = client.get(reverse("findings:system-templates")).content.decode()
    assert "The bladder is empty." in page
    new = reverse("findings:system-template-new", args=["urinary"])
    assert "Standard" not in client.get(new).content.decode().split("<form")[1]
    said = {"record_id": new_id(), "title": "Adult", "bladder": "full"}
    wrong = client.post(new, said)
    assert wrong.status_code == 422
    assert "Begin the sentence with a capital letter." in wrong.content.decode()
    assert client.post(new, {**said, "bladder": "It is full.\nIt is empty."}).status_code == 302
    one = reverse("findings:system-template", args=[SystemTemplate.objects.get().pk])
    assert client.get(one).status_code == 200
    change = {"record_id": new_id(), "version": 1, "title": "Adult", "bladder": "It is full."}
    assert client.post(one, change).status_code == 422
    answer = client.post(one, {**change, "reason": "Shorter"})
    assert answer.status_code == 302
    assert "Edition 1" in client.get(answer.url).content.decode()
    gone = answer.url + "void/"
    assert client.get(gone).status_code == 200
    assert client.post(gone, {"version": 1, "reason": "Not used"}).status_code == 302
    client.force_login(make_staff(Role.RECORDS_CLERK))
    assert "Save" not in client.get(one).content.decode()
    assert "A pathologist writes templates." in client.get(new).content.decode()


def test_the_page_shows_one_system_and_keeps_what_was_typed(examination, client):
    client.force_login(examination.pathologist)
    case = examination.case_id
    page = client.get(reverse("findings:systems", args=[case])).content.decode()
    assert "none of 3 decided" in page  # kidneys, ureters, bladder
    urinary = reverse("findings:system", args=[case, "urinary"])
    assert "The kidneys show no injury." in client.get(urinary).content.decode()
    stated = client.post(
        reverse("findings:system-part-negative", args=[case, "kidneys"]),
        {"version": 0, "request_key": new_id()},
    )
    assert stated.url == f"{urinary}#part-kidneys"
    assert "1 of 3 decided" in client.get(urinary).content.decode()
    part = reverse("findings:system-part", args=[case, "kidneys"])
    typed = {"record_id": new_id(), "version": 0, "decision": "described", "words": "Granular."}
    stale = client.post(part, typed)
    assert stale.status_code == 409
    assert "Granular." in stale.content.decode()
    assert "Saved now: The kidneys show no injury." in stale.content.decode()
    lacking = client.post(part, {**typed, "version": 1, "decision": "not examined", "words": ""})
    assert (lacking.status_code, "Say why." in lacking.content.decode()) == (422, True)
    other = client.post(reverse("findings:system-use-template", args=[case, "urinary"]),
                        {"template": "no such"})  # fmt: skip
    assert other.status_code == 422
    used = client.post(reverse("findings:system-use-template", args=[case, "urinary"]),
                       {"template": STANDARD})  # fmt: skip
    assert used.status_code == 302
    assert "to keep or strike" in client.get(urinary).content.decode()
    left = client.post(reverse("findings:system-leave-out", args=[case, "urinary"]), {"why": ""})
    assert left.status_code == 422
    assert (
        client.post(
            reverse("findings:system-leave-out", args=[case, "urinary"]), {"why": "Lost in fire"}
        ).status_code
        == 302
    )
    assert "all 3 decided" in client.get(urinary).content.decode()
    assert client.get(reverse("findings:system", args=[case, "wings"])).status_code == 404
    assert client.get(reverse("findings:system-part", args=[case, "wings"])).status_code == 404


def test_the_other_sex_is_recorded_all_the_same(examination, client):
    case = examination.case
    case.decedent.sex = "male"
    case.decedent.save()
    client.force_login(examination.pathologist)
    page = reverse("findings:system", args=[case.pk, "reproductive"])
    assert "Record all the same: uterus and ovaries" in client.get(page).content.decode()
    form = client.get(reverse("findings:system-part", args=[case.pk, "uterus"]))
    assert "Uterus and ovaries" in form.content.decode()
    decide(examination, "uterus", words="A small uterus.")
    assert "A small uterus." in client.get(page).content.decode()


def test_the_page_asks_a_fixed_number_of_statements(examination, client):
    client.force_login(examination.pathologist)
    counts = []
    for system in ("urinary", "musculoskeletal", "head", "cardiovascular"):
        leave_system_out(
            examination.pathologist, case_id=examination.case_id, system=system, why="Lost"
        )
        make_finding(examination)
        with CaptureQueriesContext(connection) as asked:
            client.get(reverse("findings:system", args=[examination.case_id, "neck"]))
        counts.append(len(asked))
    assert len(set(counts)) == 1


def test_the_api_takes_the_same(examination, client):
    client.force_login(examination.pathologist)
    api = Api(client, examination.case_id)
    entry = {"id": str(new_id()), "version": 0, "decision": "described", "words": "Yellow."}
    made = api("put", "systems/parts/liver/", 201, **entry)
    assert (made["said"], made["version"]) == ("Yellow.", 1)
    wrong = api("put", "systems/parts/liver/", 422, **{**entry, "version": 1, "why": "x"})
    assert "why" in wrong["errors"]
    api("post", "systems/urinary/template/", 200, template=STANDARD)
    rows = {row["part"]: row for row in api("get", "systems/", 200)}
    assert rows["ureters"]["sentences"][0]["kept"] is None
    kept = api(
        "put", "systems/parts/ureters/", 200, id=rows["ureters"]["id"], version=1,
        decision="described", sentences=[{"kept": True}],
    )  # fmt: skip
    assert kept["said"].startswith("The ureters are not dilated")
    api("post", "systems/urinary/left-out/", 200, why="Lost")
    api("post", "systems/wings/left-out/", 404, why="Lost")
    slide = {"id": str(new_id()), "label": "A1", "tissue": "heart muscle", "stain": "",
             "seen": "Scars.", "read_by": "Ira Vasko, MD",
             "read_on": timezone.localdate().isoformat()}  # fmt: skip
    assert api("post", "slides/", 201, **slide)["number"] == 1
    api("patch", f"slides/{slide['id']}/", 200, version=1, seen="Old scars.", reason="Clearer")
    assert [row["seen"] for row in api("get", "slides/", 200)] == ["Old scars."]
    api("post", f"slides/{slide['id']}/void/", 200, version=2, reason="Other case")
    assert api("get", "slides/", 200) == []


def test_slides_are_read_on_their_page_and_told_by_the_report(examination, client):
    client.force_login(examination.pathologist)
    page = reverse("findings:slides", args=[examination.case_id])
    today = timezone.localdate()
    typed = {"record_id": new_id(), "label": "A1", "tissue": "heart muscle",
             "seen": "patchy scars", "read_by": "Ira Vasko, MD",
             "read_on": (today + timedelta(days=1)).isoformat()}  # fmt: skip
    early = {**typed, "read_on": (today - timedelta(days=30)).isoformat()}
    assert "still to come" in client.post(page, typed).content.decode()
    assert "began after this day" in client.post(page, early).content.decode()
    assert client.post(page, {**typed, "read_on": today.isoformat()}).status_code == 302
    again = client.post(page, {**typed, "record_id": new_id(), "read_on": today.isoformat()})
    assert "recorded already" in again.content.decode()
    section = next(
        one for one in report_content(examination.case_id)["sections"]
        if one["key"] == "microscopic"
    )  # fmt: skip
    assert section["passages"] == [
        {
            "key": "microscopic-1",
            "lead": "Slide A1, heart muscle",
            "text": f"Patchy scars. Read by Ira Vasko, MD, {today.day} {today:%B %Y}.",
        }
    ]
    by, counts = examination.pathologist, []
    for number in (2, 59):
        MicroscopicSlide.objects.bulk_create(
            MicroscopicSlide(
                case=examination.case, examination=examination, number=n + number, label=f"B{n}",
                tissue="heart muscle", seen="Scars.", read_by="Ira Vasko, MD", read_on=today,
                created_by=by, changed_by=by,
            )
            for n in range(number, number + (2 if number == 2 else 57))
        )  # fmt: skip
        with CaptureQueriesContext(connection) as asked:
            client.get(page)
        counts.append(len(asked))
    assert counts[0] == counts[1]


def test_the_page_of_templates_takes_as_many_statements_for_sixty_as_for_three(client):
    by, counts = make_staff(Role.PATHOLOGIST), []
    client.force_login(by)
    for more in (3, 57):
        SystemTemplate.objects.bulk_create(
            SystemTemplate(system="neck", title=f"{more} {n}", lines={"tongue": ["It is pale."]},
                           created_by=by, changed_by=by)
            for n in range(more)
        )  # fmt: skip
        with CaptureQueriesContext(connection) as asked:
            page = client.get(reverse("findings:system-templates")).content.decode()
        counts.append(len(asked))
    assert counts[0] == counts[1] and "57 56" in page
