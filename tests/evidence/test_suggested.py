"""The words that are suggested for specimens: known to the rules, offered, and never demanded."""

from __future__ import annotations

import pytest
from django.urls import reverse

from cases.forms.report import CALL_WORDS
from cases.models import ReportOfDeath
from evidence.results.rules import examinations_of, is_only_kept
from evidence.specimens.forms import TakeSpecimenForm
from evidence.specimens.models import Specimen
from evidence.specimens.suggested import SPECIMEN_WORDS
from me_office.accounts.roles import Role
from tests.cases.browsing import sign_in, typed, words
from tests.cases.entries import open_case

LISTS = [(Specimen, SPECIMEN_WORDS), (ReportOfDeath, CALL_WORDS)]


@pytest.mark.parametrize(("model", "lists"), LISTS)
def test_each_list_is_of_a_field_that_takes_its_words(model, lists):
    for name, offered in lists.items():
        longest = model._meta.get_field(name).max_length
        assert all(0 < len(word) <= longest for word in offered)
        assert len({word.casefold() for word in offered}) == len(offered)
        assert all(word[:1] == word[:1].upper() for word in offered)


@pytest.mark.parametrize(
    ("purpose", "kind"),
    [
        ("Toxicology", "toxicology"), ("Histology", "histology"),
        ("Clinical chemistry", "chemistry"), ("Microbiology", "microbiology"),
        ("Virology", "microbiology"), ("DNA", "genetic"), ("Genetic testing", "genetic"),
        ("Neuropathology", "neuropathology"), ("Cardiac pathology", "cardiac"),
        ("Odontology", "odontology"), ("Anthropology", "anthropology"),
    ],
)  # fmt: skip
def test_a_suggested_purpose_is_one_that_the_rules_know(purpose, kind):
    assert examinations_of(purpose) == {kind}


def test_every_suggested_purpose_is_an_examination_or_a_keeping():
    for purpose in SPECIMEN_WORDS["purpose"]:
        assert len(examinations_of(purpose)) == 1 or is_only_kept(purpose), purpose
    assert is_only_kept("Kept, no examination")


@pytest.mark.django_db
def test_the_forms_offer_the_words_and_take_others(client):
    technician, case = sign_in(client, Role.EVIDENCE_TECHNICIAN), open_case()
    for name in ("specimen-take", "specimen-receive", "kit-record"):
        shown = client.get(reverse(f"evidence:{name}", kwargs={"case_id": case.pk}))
        for field in ("container", "preservative", "purpose"):
            assert f'list="id_{field}-words"' in words(shown), (name, field)
            assert words(shown).count(f'<datalist id="id_{field}-words">') == 1
        assert '<option value="Gray-top tube">' in words(shown)
    other = {"material": "Pond weed", "site": "Left boot", "container": "Jam jar"}
    taken = {"received_by": technician, "purpose_of_transfer": "", "seal_number": "T-1"}
    form = TakeSpecimenForm(data=typed(other | taken))
    assert not set(form.errors) & set(other)


@pytest.mark.django_db
def test_the_first_call_suggests_who_calls_and_what_kind_of_place_it_is(client):
    sign_in(client, Role.INVESTIGATOR)
    shown = words(client.get(reverse("cases:log-report")))
    assert '<option value="Deputy sheriff">' in shown and '<option value="Nursing home">' in shown
    assert 'list="id_place_kind-words"' in shown and 'list="id_caller_role-words"' in shown
