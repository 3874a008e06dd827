"""A site that does not go with the recorded sex is asked about, and every answer is taken.

Which organs there are is anatomy; asking is common practice.
"""

from __future__ import annotations

import pytest
from django.urls import reverse

from evidence.specimens import actions
from evidence.specimens.models import Kit, Specimen
from evidence.specimens.site_rules import site_question
from me_office.accounts.roles import Role
from me_office.audit.errors import Refused
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.evidence.items import specimen_entry, take

OF_WOMEN = [
    "Vagina", "Vaginal vault", "Vulva", "Labia majora, left", "Cervix", "Endocervical canal",
    "Cervical os", "Uterus", "Uterine fundus", "Endometrium", "Ovary, left", "Ovaries",
    "Ovarian cyst", "Fallopian tube", "Hymen", "Posterior fourchette", "Cervicovaginal swab",
    "Vaginal wall", "Vulvar skin", "Vulval skin", "Labia minora", "Labium majus", "Labium minus",
    "Cervix uteri", "Endocervix", "Ectocervix", "Ectocervical smear", "Endometrial curettings",
    "Myometrium", "Myometrial tissue", "Ovary", "Hymenal remnants", "Clitoris", "Introitus",
]  # fmt: skip
OF_MEN = [
    "Penis", "Penile shaft", "Glans", "Foreskin", "Scrotum", "Testis", "Left testicle", "Testes",
    "Epididymis", "Prostate", "Prostatic urethra", "Seminal vesicles", "Spermatic cord",
    "Prepuce", "Scrotal skin", "Testicle", "Testicles", "Testicular tissue", "Epididymal duct",
    "Prostatic tissue", "Seminal vesicle", "Vas deferens",
]  # fmt: skip
OF_EVERYBODY = [
    "Mouth", "Anus", "Rectum", "Perineum", "External genitals", "Urethra", "Bladder", "Breast",
    "Pubic hair", "Cervical spine", "Cervical lymph node", "Labial mucosa, lower lip",
    "Fornix of the brain", "Femoral vein", "Umbilical cord", "Placenta", "Left lung, base",
    "Inner thigh", "Uteroferrin", "Maternal uterus", "Uterus of the mother",
    "Prostate-specific antigen on the skin",
]  # fmt: skip


@pytest.mark.parametrize("site", OF_WOMEN)
def test_an_organ_of_women_is_asked_about_in_a_man_alone(site):
    assert "recorded as male" in site_question("male", "Swabs", site)
    assert "recorded as male" in site_question("male", site, "body")
    assert [site_question(sex, "Swabs", site) for sex in ("female", "unknown", "")] == [""] * 3


@pytest.mark.parametrize("site", OF_MEN)
def test_an_organ_of_men_is_asked_about_in_a_woman_alone(site):
    assert "recorded as female" in site_question("female", "Tissue", site.upper())
    assert [site_question(sex, "Tissue", site) for sex in ("male", "unknown", "")] == [""] * 3


def test_the_organ_is_named_as_it_was_written_without_the_words_around_it():
    asked = "The decedent is recorded as male, and this names “{}”. Check the case, the site"
    assert site_question("male", "Swabs", "Upper Vagina, left").startswith(asked.format("vagina"))
    assert site_question("male", "Tissue", "Cervix").startswith(asked.format("cervix"))


def test_what_everybody_has_is_never_asked_about():
    for site in OF_EVERYBODY:
        assert (site, site_question("male", "Swabs", site)) == (site, "")
        assert (site, site_question("female", "Swabs", site)) == (site, "")


@pytest.fixture
def man(db):
    case = make_case()
    case.decedent.sex = "male"
    case.decedent.save()
    return case


def test_a_specimen_is_asked_about_once_and_keeps_the_answer(man):
    vasko = make_staff(Role.PATHOLOGIST)
    with pytest.raises(Refused, match="vaginal") as asked:
        take(vasko, man, site="Vaginal vault", site_reason=" ")
    assert asked.value.field == "site_reason"
    assert not Specimen.objects.exists()
    why = "Operated on in 2019; hospital record."
    key = new_id()
    made = take(vasko, man, record_id=key, site="Vaginal vault", site_reason=why)
    assert take(vasko, man, record_id=key, site="Vaginal vault", site_reason=why) == made
    assert made.site_reason == why
    corrected = {"case_id": man.pk, "specimen_id": made.pk, "reason": "misread"}
    done = actions.describe_specimen(vasko, version=1, entry={"site": "Rectum"}, **corrected)
    assert done.site_reason == "", "an answer goes with its question"
    with pytest.raises(Refused):
        actions.describe_specimen(vasko, version=2, entry={"material": "Vaginal swab"}, **corrected)


def test_a_kit_is_asked_about_on_its_page_and_only_the_part_keeps_the_answer(man, client):
    client.force_login(make_staff(Role.PATHOLOGIST, name="Dr. I. Vasko"))
    page = reverse("evidence:kit-record", args=[man.pk])
    assert "Why a site is right" not in client.get(page).content.decode()
    sent = {
        **{name: value for name, value in specimen_entry(None).items() if name != "collected_by"},
        "kind": "sexual assault", "parts": "Swabs, mouth\nSwabs, vagina", "container": "Box",
        "collected_at": "2026-11-14T08:00", "handed_over_at": "2026-11-14T08:20",
        "collected_by": client.get(page).context["user"].pk, "record_id": str(new_id()),
    }  # fmt: skip
    asked = client.post(page, sent)
    shown = asked.content.decode()
    assert asked.status_code == 422
    assert "Why a site is right" in shown and "this names “vagina”" in shown
    assert "Swabs, vagina" in shown, "nothing that was typed is lost"
    assert client.post(page, {**sent, "site_reason": "Kit opened for another."}).status_code == 302
    kept = Specimen.objects.filter(item__container=Kit.objects.get().item).order_by("label")
    assert [one.site_reason for one in kept] == ["", "Kit opened for another."]


def test_the_api_asks_too(man, client):
    vasko = make_staff(Role.PATHOLOGIST)
    client.force_login(vasko)
    body = {**specimen_entry(vasko, site="Uterus"), "id": str(new_id()), "collected_by": vasko.pk}
    address = f"/api/cases/{man.pk}/specimens/"
    answer = client.post(address, body, content_type="application/json")
    assert answer.status_code == 422, answer.content
    assert "site_reason" in answer.content.decode()
    said = {**body, "site_reason": "Specimen of the mother."}
    assert client.post(address, said, content_type="application/json").status_code == 201
