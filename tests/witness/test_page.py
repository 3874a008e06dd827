"""The page that answers for an exhibit: what stands on it, for whom, in how many statements."""

from __future__ import annotations

import re
from copy import deepcopy
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from django.utils.html import strip_tags

from cases.exhibits import actions
from cases.exhibits.models import Exhibit
from cases.statements.models import StatementPassage
from cases.witness.addresses import exhibit_url
from findings.queries import findings_of
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from tests.appearances.builders import appear, was_heard
from tests.builders import CASE_STAFF, as_person, make_staff
from tests.demo import heard
from tests.exhibits.builders import make_redaction
from tests.statements.builders import add_text, mark
from tests.witness.told import address, record_more, shot, told_set

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def _once(made_once):
    def build():
        vasko = make_staff(Role.PATHOLOGIST, name="I. Vasko")
        return vasko, told_set(vasko)[1]

    return made_once(build)


@pytest.fixture
def vasko_and_exhibits(db, _once):
    return deepcopy(_once)


@pytest.fixture
def vasko(vasko_and_exhibits):
    return vasko_and_exhibits[0]


@pytest.fixture
def exhibits(vasko_and_exhibits):
    """Of three findings, of one with a measurement, of none."""
    return vasko_and_exhibits[1]


def words_of(answer) -> str:
    """What a page says, in one line."""
    return " ".join(strip_tags(answer.content.decode()).split())


# What has to be read without a click, each in the words of the record.
OF_THE_BRUISE = (
    "11.0 × 6.5 cm, by ruler",
    "purple-red",
    "Subcutaneous tissue: hemorrhage, 9 by 6 cm.",
    "Pleura: not examined.",
    "Before death.",
    "hemorrhage in the muscle beneath",
    "gives no age",
    "Consistent with a fall against the rungs of a ladder (probable)",
    "Not excluded: a blow with a rod.",
    "Excluded: lividity (confident)",
    "At least 1",
    "The report is not signed",
    "Contusion: a bruise.",
)


def test_every_answer_stands_on_the_page_as_text(vasko, exhibits):
    three, one, none = exhibits
    page = as_person(vasko)
    shown = page.get(address(three))
    assert list(heard.Page(address(three), shown.content.decode()).wrong()) == []
    said = words_of(shown)
    for words in (*OF_THE_BRUISE, "Abrasion", "cannot be said", "Lividity"):
        assert words in said, words
    assert "Why is a ruler in the picture?" in said
    assert "What does “not examined” mean?" in said
    said = words_of(page.get(address(one)))
    for words in (*OF_THE_BRUISE, "Measurement 1", "3.0 cm"):
        assert words in said, words
    assert "Why can it not be said" not in said
    said = words_of(page.get(address(none)))
    assert "No finding in this picture" in said
    assert "Contusion" not in said


def test_what_was_said_before_stands_beside_it_and_is_not_judged(vasko, exhibits):
    _, one, none = exhibits
    finding = one.photograph.active_links[0].finding
    page = as_person(vasko)
    assert "No earlier statement is linked to what it shows." in words_of(page.get(address(one)))
    mark(vasko, add_text(vasko, one.case), (31, 1, 31, 4), findings=[finding.pk])
    said = words_of(page.get(address(one)))
    assert "About ten centimeters." in said and "p. 31:1-4" in said
    assert "11.0 cm" in said.partition("About ten centimeters.")[2]
    assert "About ten centimeters." not in words_of(page.get(address(none)))
    # What is linked to the photograph or the exhibit alone stands there, too, and once.
    statement = StatementPassage.objects.get().statement
    mark(vasko, statement, (32, 1, 32, 4), photographs=[none.photograph_id], exhibits=[none.pk])
    mark(vasko, statement, (31, 3, 31, 4), findings=[finding.pk], photographs=[one.photograph_id])
    said = words_of(page.get(address(none)))
    assert said.count("p. 32:1-4, on exhibit 3") == 1
    assert "No earlier statement" not in said
    said = words_of(page.get(address(one)))
    assert "p. 31:3-4, on finding 1" in said and "on photograph" not in said


def test_what_a_court_ruled_and_what_was_marked_there_stand_on_the_page(vasko, exhibits):
    _, one, none = exhibits
    keys = {"case_id": one.case_id, "exhibit_id": one.pk}
    ruled = {"on_day": date(2026, 3, 2), "ruling": "reserved", "objected_by": "the defense"}
    actions.record_ruling(vasko, **keys, record_id=new_id(), entry=ruled)
    drawn = [{"tool": "circle", "points": [[0.25, 0.25], [0.5, 0.75]]}]
    actions.keep_court_mark(
        vasko, **keys, record_id=new_id(), photograph_id=one.photograph_id, redaction_id=None,
        entry={"strokes": drawn, "marked_at": timezone.now(), "marked_by": "witness"},
    )  # fmt: skip
    page = as_person(vasko)
    said = words_of(page.get(address(one)))
    assert "Ruling reserved, 2 Mar 2026 (objection by the defense)." in said
    assert "Marked by the witness in court" in said
    said = words_of(page.get(address(none)))
    assert "Ruling reserved" not in said and "Marked by" not in said


def test_a_date_in_court_says_what_differs_about_its_exhibits_and_leads_to_them(vasko, exhibits):
    into, one = exhibits[0].exhibit_set, exhibits[1]
    Exhibit.objects.update(caption="Right side of the chest")
    appear(vasko, into.case, exhibit_set=into)
    was_heard(vasko, into.case, exhibit_set=into)
    dates = reverse("appearances:appearances", kwargs={"case_id": into.case_id})
    page, clerk = as_person(vasko), as_person(make_staff(Role.RECORDS_CLERK))
    said = page.get(dates).content.decode()
    assert "record differ" not in said
    # Once: not for the date that is over.
    ways = [f"/exhibits/{into.pk}/rehearsal/", address(exhibits[0]), "/statements/compare/"]
    assert [said.count(f'{way}"') for way in ways] == [1, 1, 1]
    Exhibit.objects.filter(pk=one.pk).update(caption="Left side of the chest")
    said = page.get(dates).content.decode()
    assert said.count("Exhibit 2: two places of the record differ") == 1
    assert f'{address(one)}#differs"' in said
    said = clerk.get(dates).content.decode()
    assert "Exhibit 2: two places of the record differ" in said
    assert address(one) not in said and ways[0] not in said
    where = exhibit_url(one)
    assert f'{where}"' in said and clerk.get(where).status_code == 200


def test_the_window_beside_the_courtroom_screen_has_what_is_asked_next(vasko, exhibits):
    into = exhibits[0].exhibit_set
    keys = {"case_id": into.case_id, "set_id": into.pk}
    window = reverse("exhibits:court-notes", kwargs=keys)
    said = words_of(as_person(vasko).get(window))
    for words in (
        "Right lateral chest wall. Injury, blunt force.",
        "11.0 × 6.5 cm, by ruler.",
        "Pleura: not examined.",
        "Not excluded: a blow with a rod.",
        "The whole case: at least 1 blunt impact",
        "is an 11.0 × 6.5 cm purple-red contusion",
        "draft, not signed",
        "by P. Sedge",
        "No finding is linked to what it shows.",
    ):
        assert words in said, words
    # Whoever may not answer as a witness reads what is shown, and the court nothing of either.
    said = words_of(as_person(make_staff(Role.RECORDS_CLERK)).get(window))
    assert "1 Contusion" in said and "by ruler" not in said
    shown = as_person(vasko).get(reverse("exhibits:present", kwargs=keys))
    assert "by ruler" not in words_of(shown)


def test_the_next_exhibit_is_that_of_the_set(vasko, exhibits):
    page = as_person(vasko)
    for place, one in enumerate(exhibits):
        text = page.get(address(one)).content.decode()
        turns = dict(re.findall(r'href="([^"]+)" data-turn="(\w+)"', text))
        led = {name: url for url, name in turns.items() if name not in {"screen", "rehearse"}}
        wanted = {}
        if place:
            wanted["previous"] = address(exhibits[place - 1])
        if place < 2:
            wanted["next"] = address(exhibits[place + 1])
        assert led == wanted
        assert f"{place + 1} of 3" in text


@pytest.mark.parametrize("role", CASE_STAFF)
def test_pathologists_and_supervisors_see_it_and_it_is_noted(role, vasko, exhibits):
    three, *_ = exhibits
    who = make_staff(role)
    answer = as_person(who).get(address(three))
    may = role in {Role.PATHOLOGIST, Role.SUPERVISOR}
    assert (answer.status_code == 200) is may
    assert answer.status_code in {200, 403}
    noted = AccessEvent.objects.filter(actor_id=who.pk, what="exhibit answers")
    assert [one.record_id for one in noted] == ([str(three.pk)] if may else [])


def test_what_a_court_is_shown_is_shown_here_too(vasko, exhibits):
    three, *_ = exhibits
    text = as_person(vasko).get(address(three)).content.decode()
    assert f"exhibits/{three.pk}/photographs/{three.photograph_id}/screen/" in text
    assert "Why is part of the picture covered?" not in text
    make_redaction(vasko, three.photograph)
    text = as_person(vasko).get(address(three)).content.decode()
    assert "redacted copy shown" in text
    assert "Why is part of the picture covered?" in text


def test_no_original_of_a_redacted_photograph_is_shown(vasko, exhibits):
    three, one, none = exhibits
    apart = shot(vasko, three.case, findings_of(three.case)[0], shows="Chest, kept apart")
    redacted = [one.photograph, none.photograph, apart]
    for photograph in redacted:
        make_redaction(vasko, photograph)
    actions.compose_exhibit(
        vasko,
        case_id=three.case_id,
        exhibit_id=three.pk,
        version=three.version,
        photographs=[three.photograph_id, none.photograph_id],
    )
    page = as_person(vasko).get(address(three)).content.decode()
    sources = " ".join(re.findall(r'src="([^"]+)"', page))
    assert f"exhibits/{three.pk}/photographs/{none.photograph_id}/screen/" in sources
    assert f"exhibits/{one.pk}/photographs/{one.photograph_id}/thumb/" in sources
    assert f">photo {apart.number}<" in page
    api = {"case_id": three.case_id, "exhibit_id": three.pk}
    told = as_person(vasko).get(reverse("witness_api:answers", kwargs=api)).json()
    for each in (*told["pictures"], *told["elsewhere"]):
        sources += f" {each['thumb_url']} {each.get('screen_url')}"
    for photograph in redacted:
        own = {"case_id": three.case_id, "photograph_id": photograph.pk}
        for size in ("thumb", "screen"):
            assert reverse(f"evidence:photograph-{size}", kwargs=own) not in sources


def test_photograph_finding_exhibit_and_set_lead_to_it(vasko, exhibits):
    three, one, none = exhibits
    page, case = as_person(vasko), three.case
    htmx = {"headers": {"HX-Request": "true"}}
    root = f"/cases/{case.pk}/exhibits"
    part = page.get(f"{root}/of-photograph/{one.photograph_id}/", **htmx).content.decode()
    assert address(one) in part and address(three) not in part
    finding = one.photograph.active_links[0].finding
    part = page.get(f"{root}/of-finding/{finding.pk}/", **htmx).content.decode()
    assert address(one) in part and address(three) in part and address(none) not in part
    # A further photograph of a composite is shown by it, until it is taken out again.
    around = {"case_id": case.pk, "exhibit_id": none.pk}
    keys = [none.photograph_id, one.photograph_id]
    for version, held in enumerate((keys, keys[:1]), start=none.version):
        actions.compose_exhibit(vasko, **around, version=version, photographs=held)
        for what in (f"of-photograph/{one.photograph_id}", f"of-finding/{finding.pk}"):
            part = page.get(f"{root}/{what}/", **htmx).content.decode()
            assert (address(none) in part) is (len(held) == 2), what
            assert part.count(address(one)) == 1
    clerk = as_person(make_staff(Role.RECORDS_CLERK))
    part = clerk.get(f"{root}/of-photograph/{one.photograph_id}/", **htmx).content.decode()
    assert address(one) not in part and f"#exhibit-{one.pk}" in part
    assert page.get(f"{root}/of-photograph/{one.photograph_id}/").status_code == 302
    for where in (
        f"{root}/{one.exhibit_set_id}/",
        f"{root}/{one.exhibit_set_id}/exhibits/{one.pk}/",
    ):
        assert address(one) in page.get(where).content.decode()
        assert address(one) not in clerk.get(where).content.decode()
    photograph = page.get(f"/cases/{case.pk}/photographs/{one.photograph_id}/").content.decode()
    assert f"{root}/of-photograph/{one.photograph_id}/" in photograph
    chart = page.get(f"/cases/{case.pk}/chart/?finding={finding.pk}").content.decode()
    assert f"{root}/of-finding/{finding.pk}/" in chart


def test_the_page_costs_the_same_for_few_findings_and_for_many(vasko, exhibits):
    three, *_ = exhibits
    page, counts = as_person(vasko), []
    assert 'href="#finding-3"' not in page.get(address(three)).content.decode()
    for more in (1, 12):
        record_more(three, vasko, more)
        with CaptureQueriesContext(connection) as asked:
            shown = page.get(address(three))
        counts.append(len(asked))
    assert counts[0] == counts[1]
    # So many stand below each other: each is led to from the top.
    text = shown.content.decode()
    for number in range(1, 17):
        assert f'href="#finding-{number}"' in text and f'id="finding-{number}"' in text
