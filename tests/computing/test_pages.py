"""Pages of the calculations: compute, look, keep; what is shown and what never is."""

from __future__ import annotations

import re
from copy import deepcopy
from datetime import datetime, timedelta
from decimal import Decimal
from functools import cache
from types import FunctionType

import pytest
from django.db import connection
from django.http import HttpResponse
from django.shortcuts import render
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.course import case_frame
from cases.models import Scene
from findings.calculations.registry import METHODS
from findings.computing import queries
from findings.computing.models import Calculation
from findings.computing.offered import OFFERS
from findings.models import Finding
from findings.paths.actions import record_path
from findings.postmortem.actions import record_lividity
from findings.rules import Terminus
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff
from tests.computing.builders import LONG_COLD, full_case, keep

pytestmark = pytest.mark.django_db

WAYS = [(offer.name, way.key) for offer in OFFERS for way in offer.ways]
# What a person adds to what the case file knows, by method or way.
ADDED = {
    "pmi_rectal": {"corrective_factor": "1.2"},
    "cooling_forward": {"corrective_factor": "1.2"},
    "vitreous_potassium": {"potassium_mmol_L": "8"},
    "lividity_rigor": {"lividity_matches": "supine"},
    "lund-browder": {"fraction_burned__left_forearm_front": "80"},
    "nines": {"fraction_burned__left_arm": "25"},
    "palms": {"palm_count": "3"},
    "straight": {"object_px": "412", "reference_px": "1000", "reference_mm": "50"},
    "plane": {
        "object_px": "10 10\n90 12",
        "reference_px": "0 0\n100 0\n100 100\n0 100",
        "reference_mm": "0 0\n50 0\n50 50\n0 50",
    },
    "outline": {"polygon_px": "0 0\n10 0\n10 10", "px_per_mm": "4"},
    "tilt": {"tilt_deg": "20"},
}


@pytest.fixture(scope="module")
def _once(made_once):
    def build():
        vasko = make_staff(Role.PATHOLOGIST, name="I. Vasko")
        return vasko, full_case(vasko)

    return made_once(build)


@pytest.fixture
def vasko(client, db, _once):
    someone, _ = deepcopy(_once)
    client.force_login(someone)
    return someone


@pytest.fixture
def case(vasko, _once):
    """The pathologist's case that knows what the methods ask for."""
    return deepcopy(_once)[1]


def address(case, method, way=""):
    return reverse("computing:method", args=[case.pk, method]) + (f"?way={way}" if way else "")


def typed_in(form):
    """What the browser would send of a form as it came."""
    values = {name: form[name].value() for name in form.fields}
    return {
        name: value.strftime("%Y-%m-%dT%H:%M") if isinstance(value, datetime) else value
        for name, value in values.items()
        if value not in (None, "")
    }


def typed(client, url, **added):
    """What the browser would send: the form as it came, and what was typed."""
    return {**typed_in(client.get(url).context["form"]), **added}


def computed(client, url, **added):
    return client.post(url, {**typed(client, url, **added), "act": "compute"})


@pytest.mark.parametrize(("method", "way"), WAYS)
def test_each_method_opens_with_an_empty_case(client, vasko, method, way):
    page = client.get(address(make_case(), method, way))
    assert page.status_code == 200
    assert "licensed pathologist" in page.content.decode()


@pytest.mark.parametrize(("method", "way"), WAYS)
def test_each_method_computes_from_a_full_case_and_keeps(client, vasko, case, method, way):
    url = address(case, method, way)
    added = ADDED.get(way) or ADDED.get(method, {})
    page = computed(client, url, **added)
    assert page.status_code == 200, dict(page.context["form"].errors)
    assert not Calculation.objects.exists(), "computing keeps nothing"
    words = page.content.decode()
    assert page.context["phrased"].summary.headline in words or page.context["phrased"].refusal
    for caution in page.context["phrased"].cautions:
        assert re.sub(r"\s+", " ", caution)[:40] in words.replace("&#x27;", "'").replace(
            "&amp;", "&"
        )
    sent = typed(client, url, **added, note="For court", shown=page.context["shown_digest"])
    answer = client.post(url, {**sent, "act": "keep"})
    kept = Calculation.objects.get()
    assert answer.url == reverse("computing:kept", args=[case.pk, kept.pk])
    shown = client.get(answer.url)
    assert "For court" in shown.content.decode()
    assert kept.result["cautions"][0][:30] in shown.content.decode().replace("&#x27;", "'")


def test_values_of_the_case_file_say_where_they_stand(client, vasko, case):
    page = client.get(address(case, "pmi_rectal")).content.decode()
    assert "scene reading, rectal" in page
    assert 'value="26.4"' in page
    assert "examination," in page
    assert 'value="82.5"' in page


def test_what_is_kept_says_what_came_from_the_file_and_what_was_typed(client, vasko, case):
    url = address(case, "pmi_rectal")
    added = {"corrective_factor": "1.2", "mass_kg": "80"}
    digest = computed(client, url, **added).context["shown_digest"]
    sent = typed(client, url, **added, note="For court", shown=digest)
    client.post(url, {**sent, "act": "keep"})
    kept = Calculation.objects.get()
    assert "rectal" in kept.taken_from["rectal_C"]
    assert "mass_kg" not in kept.taken_from


def test_a_result_that_was_not_seen_is_not_kept(client, vasko, case):
    url = address(case, "pmi_rectal")
    digest = computed(client, url, corrective_factor="1.2").context["shown_digest"]
    sent = typed(client, url, corrective_factor="1.5", note="For court", shown=digest)
    page = client.post(url, {**sent, "act": "keep"})
    assert page.status_code == 422
    assert "Check this one" in page.content.decode()
    assert not Calculation.objects.exists()


def test_a_refusal_hides_the_hours_of_the_formula(client, vasko, case):
    page = computed(client, address(case, "pmi_rectal"), corrective_factor="1", rectal_C="14")
    words = page.content.decode()
    assert "No estimate." in words
    assert "Q below 0.2" in words
    assert "At least" in words
    kept = keep(case, vasko, inputs=LONG_COLD)
    hidden = kept.result["t_h"]
    shown = client.get(reverse("computing:kept", args=[case.pk, kept.pk])).content.decode()
    for text in (words, shown):
        assert f"{hidden:.1f}" not in text
        assert "Hours since death by the formula" not in text


def test_a_wrong_value_stands_beside_its_field_and_keeps_the_rest(client, vasko, case):
    url = address(case, "pmi_rectal")
    page = computed(client, url, corrective_factor="", ambient_C="200", mass_kg="82.5")
    assert page.status_code == 422
    assert page.context["form"].errors["ambient_C"] == ["Enter at most 60 °C."]
    assert page.context["form"].errors["corrective_factor"]
    assert 'value="82.5"' in page.content.decode()


def test_what_the_method_itself_finds_wrong_stands_beside_its_field(client, vasko, case):
    url = address(case, "pmi_rectal")
    page = computed(client, url, corrective_factor="1", ambient_C="15", ambient_C__high="12")
    assert page.context["form"].errors["ambient_C"] == ["The lowest must not be above the highest."]


def test_a_kept_interval_is_offered_to_the_time_line(client, vasko, case):
    kept = keep(case, vasko)
    page = computed(client, address(case, "time_since_death"), estimates=[str(kept.pk)])
    assert page.status_code == 200
    labels = [window["label"] for window in page.context["form"].plain_inputs["estimates"]]
    assert labels[0].startswith("Rectal temperature")
    assert "not an average" in page.content.decode()
    assert 'class="plot"' in page.content.decode()


def test_windows_that_exclude_each_other_give_no_time(client, vasko, case):
    kept = keep(case, vasko, measured_at=timezone.now() - timedelta(days=30))
    page = computed(client, address(case, "time_since_death"), estimates=[str(kept.pk)])
    assert "exclude each other" in page.context["phrased"].refusal
    assert not page.context["phrased"].summary.headline


def test_a_reader_computes_and_keeps_nothing(client):
    client.force_login(make_staff(Role.RECORDS_CLERK))
    case = full_case()
    url = address(case, "pmi_rectal")
    page = computed(client, url, corrective_factor="1")
    assert "Save in the case file" not in page.content.decode()
    sent = typed(client, url, corrective_factor="1", note="x", shown=page.context["shown_digest"])
    assert client.post(url, {**sent, "act": "keep"}).status_code == 422
    assert not Calculation.objects.exists()


def test_voiding_from_the_page(client, vasko):
    case = make_case()
    kept = keep(case, vasko)
    url = reverse("computing:void", args=[case.pk, kept.pk])
    form = client.get(url).context["form"]
    sent = {"version": form["version"].value(), "record_id": str(kept.pk)}
    assert client.post(url, {**sent, "reason": ""}).status_code == 422
    assert client.post(url, {**sent, "reason": "Wrong probe"}).status_code == 302
    shown = client.get(reverse("computing:kept", args=[case.pk, kept.pk])).content.decode()
    assert "Wrong probe" in shown


def test_methods_that_a_case_is_not_offered_and_other_cases_are_not_found(client, vasko):
    case, other = make_case(), make_case(restricted=True)
    for method in ("hash_and_merkle", "deadlines", "drug_reference"):
        assert client.get(address(case, method)).status_code == 404
    assert client.get(address(other, "pmi_rectal")).status_code == 404
    kept = keep(case, vasko)
    assert client.get(reverse("computing:kept", args=[other.pk, kept.pk])).status_code == 404


def test_the_page_of_each_method_has_its_formula_and_cautions(client, vasko):
    assert client.get(reverse("computing:docs")).status_code == 200
    for method in METHODS:
        page = client.get(reverse("computing:doc", args=[method.name])).content.decode()
        assert method.version in page
        assert "Worked example" in page
        assert page.count("<li>") >= len(method.cautions) + len(method.sources)


def _statements(client, url):
    with CaptureQueriesContext(
        connection,
    ) as queries:
        assert client.get(url).status_code == 200
    return len(queries)


def test_the_number_of_statements_does_not_grow(client, vasko, case):
    urls = [reverse("computing:calculations", args=[case.pk]), *(
        address(case, method, way) for method, way in WAYS
    )]  # fmt: skip
    for url in urls:
        client.get(url)  # What is asked once in a process is asked here.
    before = [_statements(client, url) for url in urls]
    for _ in range(20):
        keep(case, vasko)
    assert [_statements(client, url) for url in urls] == before
    assert max(before) <= 15


NUMBERS = ["", "nan", "inf", "-1e400", "1e308", "0", "-0.0"]
RUBBISH = [*NUMBERS, "٣", "<b>", "\x00", "x" * 5000, "🫀", "9999-12-31T23:59",
           "0001-01-01T00:00", "[[]]", "1\n2\n3", "1 2\n3 x"]  # fmt: skip


def test_no_form_that_is_filled_with_rubbish_brings_the_page_down(client, vasko, case, monkeypatch):
    # The frame around the form doesn't read it, and takes as long again: once is enough.
    frame = case_frame(vasko, case.pk, current="calculations")
    monkeypatch.setattr("findings.computing.views.case_frame", lambda *_, **__: frame)
    monkeypatch.setattr("django.contrib.auth.middleware.get_user", lambda _: vasko)
    # Nor does a form change what the case file knows: each question is asked of it once.
    for name, function in vars(queries).copy().items():
        if isinstance(function, FunctionType) and function.__module__ == queries.__name__:
            monkeypatch.setattr(queries, name, cache(function))
    monkeypatch.setattr("me_office.shell.forms.render", drawing_what_is_new())
    for method, way in WAYS:
        fill_with_rubbish(client, address(case, method, way))
    assert not Calculation.objects.exists()


def drawing_what_is_new():
    """Draw each result, and of forms without one each that shows what none before it did.

    A field is drawn by its kind and the part of the form it stands in, and not by its method.
    """
    drawn = set()

    def draw(request, template, context, status):
        shown = {
            (type(one.field), one.name.rpartition("__")[0], str(one.value()), *one.errors)
            for one in context["form"]
        }
        if context["phrased"] is None and shown <= drawn:
            return HttpResponse(status=status)
        drawn.update(shown)
        return render(request, template, context, status=status)

    return draw


def fill_with_rubbish(client, url):
    form = client.get(url).context["form"]
    known, names = typed_in(form), list(form.fields)
    for number, rubbish in enumerate(RUBBISH):
        mixed = {name: RUBBISH[(number + n) % len(RUBBISH)] for n, name in enumerate(names)}
        sendings = [mixed | {"act": "keep"}]
        if rubbish in NUMBERS:
            # Only what reads as a number goes on into the method from every field at once.
            sendings.append(dict.fromkeys(names, rubbish) | {"act": "compute"})
        for sent in sendings:
            assert client.post(url, sent).status_code in (200, 302, 422), (url, sent)
        one_wrong = {**known, names[number % len(names)]: rubbish, "act": "compute"}
        assert client.post(url, one_wrong).status_code in (200, 422), (url, one_wrong)


def test_a_range_of_ambient_temperatures_is_drawn_with_both_curves(client, vasko, case):
    url = address(case, "pmi_rectal")
    page = computed(client, url, ambient_C="10", ambient_C__high="14", corrective_factor="1.0")
    plot = page.context["plot"]
    assert plot.svg.count('class="plot-line"') == 2
    phrased = page.context["phrased"]
    low, high = page.context["form"].plain_inputs["ambient_C"]
    assert (low, high) == (10.0, 14.0)
    assert "ambient 10 °C" in plot.svg and "ambient 14 °C" in plot.svg
    # The bar's ends are the ends of the answer, in the words for those who do not see it.
    ends = re.search(r"([\d.]+) to ([\d.]+) hours", plot.words)
    assert ends and all(end in phrased.summary.headline for end in ends.groups())


def test_a_recorded_wound_path_is_carried_over_with_its_depth(client, vasko, case):
    entrance = Finding.objects.get(case=case, term="Gunshot wound of entrance")
    record_path(
        vasko,
        case_id=case.pk,
        finding_id=entrance.pk,
        record_id=new_id(),
        entry={
            "structures": "left lung\nspine",
            "ends_as": Terminus.RECOVERED.value,
            "exit_finding": None,
            "end_words": "bullet in the spine",
            "entrance_above_heel_cm": None,
            "entrance_from_midline_cm": None,
            "end_above_heel_cm": Decimal("125.5"),
            "end_from_midline_cm": Decimal("1"),
            "depth_cm": Decimal("12"),
            "depth_way": "front to back",
        },
    )
    form = client.get(address(case, "wound_path")).context["form"]
    known = {name: (one.value, one.source) for name, one in form.known.items()}
    number = entrance.number
    assert known["entrance__above_heel_cm"] == (131.5, f"wound path of finding {number}, measured")
    assert known["terminus__above_heel_cm"] == (125.5, f"wound path of finding {number}, measured")
    assert known["terminus__left_cm"][0] == 1
    front = known["entrance__front_cm"][0]
    assert known["terminus__front_cm"][0] == pytest.approx(front - 12)
    assert "depth 12 cm" in known["terminus__front_cm"][1]


def test_lividity_by_region_is_carried_over_behind_the_scene(client, vasko, case):
    for region, blanching in (("back of the trunk", "fixed"), ("buttocks", "partly")):
        entry = {"region": region, "state": "present", "blanching": blanching}
        record_lividity(
            vasko, case_id=case.pk, record_id=new_id(), entry={**entry, "colour": "", "note": ""}
        )
    known = client.get(address(case, "lividity_rigor")).context["form"].known
    assert known["fixed"].value == "yes"
    assert "scene" in known["fixed"].source
    assert "back of the trunk (fixed)" in known["lividity_matches"].source
    Scene.objects.filter(case=case).update(lividity_blanching="", lividity_where="")
    known = client.get(address(case, "lividity_rigor")).context["form"].known
    assert (known["fixed"].value, "examination" in known["fixed"].source) == ("no", True)


def test_temperatures_are_said_in_degrees_celsius(client, vasko, case):
    page = client.get(address(case, "pmi_rectal")).content.decode()
    assert "0.1 °C" in page
    assert not re.search(r"\d C\b", re.sub(r"<[^>]+>", " ", page))


@pytest.mark.parametrize(
    ("page", "method"),
    [
        ("findings:organs", "heart_for_body_weight"),
        ("findings:postmortem", "lividity_rigor"),
        ("findings:postmortem", "pmi_rectal"),
        ("findings:examination", "body_size"),
    ],
)
def test_pages_of_the_examination_lead_to_the_calculations_that_fit(
    client, vasko, case, page, method
):
    words = client.get(reverse(page, args=[case.pk])).content.decode()
    assert reverse("computing:method", args=[case.pk, method]) in words


@pytest.mark.parametrize(
    ("term", "leads"),
    [
        ("Gunshot wound of entrance", "wound_path/?entrance=4"),
        ("Burn, partial thickness", "burn_area/?way=charted"),
        ("Contusion", "impacts/"),
    ],
)
def test_a_finding_leads_to_the_calculation_that_fits(client, vasko, case, term, leads):
    finding = Finding.objects.get(case=case, term=term)
    page = client.get(f"{reverse('findings:chart', args=[case.pk])}?finding={finding.pk}")
    assert f"/calculations/{leads}" in page.content.decode()
