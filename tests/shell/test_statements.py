"""Every text about medicine or law is registered with its source, and said from the register."""

from __future__ import annotations

import pkgutil
import re
from functools import cache
from importlib import import_module
from io import StringIO
from pathlib import Path
from urllib.parse import quote

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils.text import slugify

import cases
import evidence
import findings
from cases.certification.cautions import cautions_on
from cases.rules.lividity import SceneLividity, scene_question, spared_question
from findings.calculations.registry import METHODS
from findings.questions.negatives import STATEMENTS
from findings.words.vocabulary import TERMS
from me_office.accounts.roles import Role
from me_office.statements import (
    Ground,
    Statement,
    by_place,
    ground_of,
    matching,
    statement,
    statement_of,
    statements,
)
from tests.builders import make_staff
from tests.certification.test_cautions import MECHANISMS, OTHERS, WRONG, certificate

ROOT = Path(__file__).parents[2]
APPS = (cases, evidence, findings)
# Constants whose name says that they are a caution.
CAUTION_NAME = re.compile(r"CAUTION|NOBODY_DECIDES|^NEVER$")


def modules():
    for app in APPS:
        for found in pkgutil.walk_packages(app.__path__, f"{app.__name__}."):
            if ".migrations" not in found.name:
                yield import_module(found.name)


def texts_of(value):
    if isinstance(value, Statement):
        return [value.text]
    if isinstance(value, str):
        return [value]
    return [text for one in value for text in texts_of(one)] if isinstance(value, tuple) else []


def test_every_text_says_where_it_is_read_and_where_it_is_from():
    for one in statements():
        assert one.text.strip() and one.where.strip() and one.source.strip(), one.key


# U.S. Standard Certificate of Death, revision of November 2003: the number of each item.
ITEMS = {
    "certification.certification.death_place_kind": "14",
    "remains.disposition.method": "18",
    "certification.certification.autopsy": "33",
    "certification.certification.autopsy_available": "34",
    "certification.certification.tobacco": "35",
    "certification.certification.pregnancy": "36",
    "certification.certification.manner": "37",
    "certification.certification.injury_at_work": "41",
    "certification.certification.transport_role": "44",
    "cases.decedent.hispanic_origin": "52",
    "cases.decedent.race": "53",
    "certification.certification.certifier_type": "45",
    "certification.particulars.inside_city": "7g",
    "certification.particulars.armed_forces": "8",
    "certification.particulars.marital_status": "9",
    "certification.particulars.education": "51",
}


def test_the_answers_of_the_certificate_name_their_item():
    said = {one.key: one.source for one in statements() if one.key.startswith("answers.")}
    of_certificate = "US Standard Certificate of Death, 2003 revision, item "
    found = {key: source for key, source in said.items() if source.startswith(of_certificate)}
    assert found == {f"answers.{key}": f"{of_certificate}{item}" for key, item in ITEMS.items()}


def test_every_constant_that_is_a_caution_is_registered():
    known = {one.text for one in statements()}
    checked = 0
    for module in modules():
        for name, value in vars(module).items():
            if CAUTION_NAME.search(name) and name.isupper():
                for text in texts_of(value):
                    checked += 1
                    assert text in known, f"{module.__name__}.{name}"
    assert checked >= 8


def test_no_template_says_a_caution_that_is_not_registered():
    used = set()
    for app in ("cases", "evidence", "findings", "me_office"):
        for path in (ROOT / app).rglob("*.html"):
            text = path.read_text(encoding="utf-8")
            assert not re.search(r'_caution\.html" with words="', text), path
            used |= set(re.findall(r'{% caution "([^"]+)" %}', text))
    assert used
    for key in used:
        assert statement_of(key).text


@cache
def as_patterns():
    """All texts as patterns, the longest first."""
    parts = [re.split(r"\{[^}]*\}", one.text) for one in statements()]
    patterns = [re.compile(".+?".join(map(re.escape, text)), re.S) for text in parts]
    return sorted(patterns, key=lambda one: -len(one.pattern))


def is_registered(said):
    """Whether a text consists of registered texts alone."""
    left = said
    for pattern in as_patterns():
        left = pattern.sub("", left)
    return not left.strip(" .")


def test_whatever_is_said_of_a_certificate_is_registered():
    entries = [one for one, _ in WRONG]
    entries += [certificate("natural", cause) for cause in MECHANISMS]
    entries += [certificate(one[0], *one[1:]) for one in OTHERS]
    said = {words for entry in entries for words in cautions_on(entry, age_years=0.5)}
    assert len(said) > 30
    assert [words for words in said if not is_registered(words)] == []


@pytest.mark.parametrize("blanching", ["", "fixed", "blanches", "blanches partly"])
@pytest.mark.parametrize("moved", ["", "Turned by a neighbor", "Not moved"])
@pytest.mark.parametrize(("position", "where"), [("supine", "chest"), ("supine", "back, chest")])
def test_whatever_is_asked_of_lividity_is_registered(position, where, moved, blanching):
    said = scene_question(SceneLividity(position, where, blanching, moved))
    assert said
    assert is_registered(said)
    assert is_registered(spared_question("supine", "chest"))


def test_the_lists_are_in_it():
    texts = {one.text for one in statements()}
    for method in METHODS:
        assert set(method.cautions) <= texts
        assert method.validity in texts
    assert {one.words for one in STATEMENTS.values()} <= texts
    plain = {text.split(":")[0].casefold() for text in texts}
    assert {term.casefold() for terms in TERMS.values() for term in terms} <= plain


def test_a_key_is_given_once_and_a_text_needs_its_source():
    with pytest.raises(ValueError, match="already"):
        statement("certificate.mechanism", "x", where="x", source="x")
    with pytest.raises(ValueError, match="lacks"):
        statement("no.source", "x", where="x", source="")


@pytest.mark.django_db
def test_one_page_and_one_command_show_them_all():
    client = Client()
    client.force_login(
        make_staff(Role.PATHOLOGIST), backend="me_office.accounts.backends.StaffBackend"
    )
    page = client.get(reverse("statements"), {"all": 1}).content.decode()
    out = StringIO()
    call_command("list_statements", stdout=out)
    assert page.count("<tr id=") == len(statements())
    assert out.getvalue().count("\n| ") - out.getvalue().count("| text | source |") * 2 == len(
        statements()
    )
    assert "Davis GG et al." in page and "Davis GG et al." in out.getvalue()


@pytest.mark.django_db
def test_the_places_stand_in_the_order_of_their_names_with_every_text_once():
    places = by_place()
    assert list(places) == sorted(places) and len(places) > 10
    keys = [one.key for texts in places.values() for one in texts]
    assert sorted(keys) == sorted(one.key for one in statements())
    assert all(one.where == where for where, texts in places.items() for one in texts)


@pytest.mark.django_db
def test_the_register_is_read_by_place_by_words_and_by_source():
    client = Client()
    client.force_login(
        make_staff(Role.PATHOLOGIST), backend="me_office.accounts.backends.StaffBackend"
    )

    def shown(**asked):
        page = client.get(reverse("statements"), asked).content.decode()
        return page, page.count("<tr id=")

    first, rows = shown()
    assert rows == 0
    for where, texts in by_place().items():
        assert f"?place={quote(where)}" in first
        assert shown(place=where)[1] == len(texts), where
    said = statement_of("review.second-reader")
    page, rows = shown(words="NOT replace Judgment")
    assert rows >= 1
    assert f'id="{slugify(said.key)}"' in page
    assert rows == sum(len(texts) for texts in matching(words="not replace judgment").values())
    assert shown(words="replace judgment", place="Scene")[1] == 0
    assert "No text matches all of this" in shown(words="nothing of this kind")[0]
    assert shown(words="Davis GG")[1] >= 1  # a source is found, too


def test_what_is_in_part_from_memory_is_not_taken_for_a_named_source():
    by_ground = {
        ground: sum(len(texts) for texts in matching(ground=ground).values()) for ground in Ground
    }
    assert sum(by_ground.values()) == len(statements())
    assert all(by_ground.values())
    for source, ground in [
        ("common practice", "common practice"),
        ("Common practice in reporting", "common practice"),
        ("from memory, source not checked", "from memory, in whole or in part"),
        ("common practice (source not checked)", "from memory, in whole or in part"),
        ("A; limits of the index: From memory.", "from memory, in whole or in part"),
        ("B (primary papers not opened)", "from memory, in whole or in part"),
        ("C, not confirmed from the tables", "from memory, in whole or in part"),
        ("Pryce JW et al. BMC Clin Pathol 2014; 14:18", "a source that is named"),
    ]:
        assert ground_of(Statement("key", "text", "where", source)) == ground, source


def test_nobody_outside_reads_the_page():
    assert Client().get(reverse("statements")).status_code == 302
