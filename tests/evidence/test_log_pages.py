"""Pages of the log: the grid of thousands, outlines, series, two side by side."""

from __future__ import annotations

import json

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from evidence.gaps import pointing_out
from evidence.gaps.rules import LogGap, LogGapKind
from evidence.photographs import actions, tasks
from evidence.photographs.models import PhotographSeries
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_case, make_staff, past_the_triggers
from tests.evidence.log_rows import fill_log
from tests.evidence.pictures import add, make_finding, picture_bytes

pytestmark = pytest.mark.django_db
PART = {"HX-Request": "true"}


@pytest.fixture
def linked(vasko):
    """A photograph that shows a finding, with its preview."""
    case = make_case()
    finding = make_finding(case, vasko, number=3)
    photograph = add(vasko, case, picture_bytes(), finding_ids=[finding.pk])
    tasks.derive_images(photograph_id=str(photograph.pk))
    return photograph.finding_links.get()


def url(name, case, **keys):
    return reverse(f"evidence:{name}", kwargs={"case_id": case.pk, **keys})


def outline_of(link):
    return url("photograph-outline", link.case, photograph_id=link.photograph_id, link_id=link.pk)


def page_of(link):
    return url("photograph", link.case, photograph_id=link.photograph_id)


def statements_of(client, where, **headers):
    with CaptureQueriesContext(connection) as statements:
        assert client.get(where, headers=headers).status_code == 200
    return len(statements)


def test_a_log_of_two_thousand_reads_as_often_as_one_of_three(signed_in, vasko):
    counted = []
    for how_many in (3, 60, 2000):
        case = make_case()
        finding = make_finding(case, vasko)
        with past_the_triggers():
            fill_log(vasko, case, how_many, finding)
        where = url("photographs", case)
        signed_in.get(where)
        counted.append(statements_of(signed_in, where))
    assert counted[0] == counted[1] == counted[2]
    assert counted[0] <= 15
    page = signed_in.get(where)
    assert len(page.context["page"].photographs) == 60
    assert "2000 photographs" in page.content.decode()
    following = page.context["next_url"]
    part = signed_in.get(where + following, headers=PART)
    assert [each.number for each in part.context["page"].photographs] == list(range(61, 121))
    assert "<html" not in part.content.decode()
    assert part["Vary"].count("HX-Request") == 1
    assert statements_of(signed_in, where + following, **PART) < counted[0]


def test_the_log_is_searched_by_words_and_number(signed_in, vasko):
    case = make_case()
    add(vasko, case, picture_bytes(1), shows="Four bands", region="right chest")
    add(vasko, case, picture_bytes(2), shows="Left hand, back", region="left hand")

    def numbers(query):
        page = signed_in.get(url("photographs", case) + query)
        return [each.number for each in page.context["page"].photographs]

    assert numbers("?q=BANDS") == [1]
    assert numbers("?q=left") == [2]
    assert numbers("?q=2") == [2]
    assert numbers("?q=left&view=close-up") == []
    assert numbers("?q=%25") == []


def test_a_pointer_is_kept_and_shown_with_number_and_class(signed_in, linked):
    form = {"outline": "[[0.25, 0.5]]", "version": "1", "request_key": str(new_id())}
    answer = signed_in.post(outline_of(linked), form)
    assert answer.headers["Location"] == f"{page_of(linked)}?finding={linked.finding_id}"
    linked.refresh_from_db()
    assert linked.outline == [[0.25, 0.5]]
    shown = signed_in.get(answer.headers["Location"]).content.decode()
    assert 'aria-label="Outlined: 3 Contusion"' in shown
    assert 'class="outline-pin mark-injury is-selected"' in shown
    assert signed_in.post(outline_of(linked), form).status_code == 302
    linked.refresh_from_db()
    assert linked.version == 2


@pytest.mark.parametrize("outline", ["[[2, 0.5]]", "[[0.1, 0.1], [0.2, 0.2]]", '"x"'])
def test_a_refused_outline_says_why_and_stays_to_be_drawn_again(signed_in, linked, outline):
    answer = signed_in.post(outline_of(linked), {"outline": outline, "version": "1"})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "form-errors" in text
    assert "data-again" in text
    linked.refresh_from_db()
    assert linked.outline is None


def test_a_stale_outline_is_said_to_be_one(signed_in, vasko, linked):
    actions.outline_finding(
        vasko, case_id=linked.case_id, link_id=linked.pk, version=1,
        entry={"outline": [[0.9, 0.9]]},
    )  # fmt: skip
    answer = signed_in.post(outline_of(linked), {"outline": "[[0.1, 0.1]]", "version": "1"})
    assert answer.status_code == 409
    linked.refresh_from_db()
    assert linked.outline == [[0.9, 0.9]]


def test_an_outline_is_offered_only_to_those_who_may_draw_it(client, linked):
    client.force_login(make_staff(Role.RECORDS_CLERK))
    text = client.get(page_of(linked)).content.decode()
    assert "data-outline" not in text
    assert 'data-part="draw"' not in text
    assert client.post(outline_of(linked), {"outline": "[]", "version": "1"}).status_code == 422
    linked.refresh_from_db()
    assert linked.version == 1


def test_chart_and_photograph_are_one_click_apart(signed_in, linked):
    chart = reverse("findings:chart", kwargs={"case_id": linked.case_id})
    assert f"{chart}?finding={linked.finding_id}" in signed_in.get(page_of(linked)).content.decode()
    thread = url("finding-thread", linked.case, finding_id=linked.finding_id)
    part = signed_in.get(thread, headers=PART).content.decode()
    assert f"{page_of(linked)}?finding={linked.finding_id}" in part


@pytest.fixture
def three(vasko):
    case = make_case()
    finding = make_finding(case, vasko)
    shots = [("close-up", True), ("close-up", False), ("overview", False)]
    for shade, (view, scale) in enumerate(shots):
        add(
            vasko, case, picture_bytes(shade), view=view, with_scale=scale,
            finding_ids=[finding.pk],
        )  # fmt: skip
    return case


def test_a_proposed_series_is_kept_once_a_person_confirms_it(signed_in, three):
    page = signed_in.get(url("series", three))
    (proposal,) = page.context["proposals"]
    assert (proposal["title"], proposal["numbers"]) == ("chest", "3, 2, 1")
    assert "1 proposed" in signed_in.get(url("photographs", three)).content.decode()
    form = {"title": "right chest", "photographs": "3 and 1", "record_id": str(new_id())}
    for _ in range(2):
        assert signed_in.post(url("series", three), form).status_code == 302
    series = PhotographSeries.objects.get()
    assert sorted(series.members.values_list("photograph__number", flat=True)) == [1, 3]
    shown = signed_in.get(url("series", three)).content.decode()
    assert f"{url('photographs-compare', three)}?left=3&amp;right=1" in shown


@pytest.mark.parametrize(
    ("typed", "words"),
    [("1, 99", "There is no photograph 99"), ("2", "two photographs or more"), ("none", "two")],
)
def test_a_series_that_is_none_says_so_beside_the_field(signed_in, three, typed, words):
    answer = signed_in.post(url("series", three), {"title": "right chest", "photographs": typed})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert words in text
    assert 'value="right chest"' in text
    assert PhotographSeries.objects.count() == 0


def test_a_series_is_left_and_withdrawn_with_a_reason(signed_in, vasko, three):
    numbers = three.photograph_set.values_list("pk", flat=True)
    series = actions.make_series(
        vasko, case_id=three.pk, record_id=new_id(),
        entry={"title": "chest", "photograph_ids": list(numbers)},
    )  # fmt: skip
    out = url("series-take", three, member_id=series.members.first().pk)
    assert signed_in.get(out).status_code == 200
    assert signed_in.post(out, {"version": "1", "reason": ""}).status_code == 422
    assert signed_in.post(out, {"version": "1", "reason": "left side"}).status_code == 302
    assert series.members.filter(voided_at=None).count() == 2
    withdraw = url("series-withdraw", three, series_id=series.pk)
    assert "stay in the log" in signed_in.get(withdraw).content.decode()
    assert signed_in.post(withdraw, {"version": "1", "reason": "two areas"}).status_code == 302
    series.refresh_from_db()
    assert series.is_voided


def test_who_only_reads_sees_series_without_acts(client, vasko, three):
    client.force_login(make_staff(Role.RECORDS_CLERK))
    page = client.get(url("series", three))
    assert page.status_code == 200
    assert page.context["proposals"] == []
    assert '<form class="form"' not in page.content.decode()
    answer = client.post(url("series", three), {"title": "x", "photographs": "1, 2"})
    assert answer.status_code == 422
    assert PhotographSeries.objects.count() == 0


def test_the_series_page_reads_as_often_for_many_as_for_few(signed_in, vasko):
    counted = []
    for how_many in (4, 60):
        case = make_case()
        finding = make_finding(case, vasko)
        made = [each.pk for each in fill_log(vasko, case, how_many, finding)]
        for place in range(0, how_many, 4):
            actions.make_series(
                vasko, case_id=case.pk, record_id=new_id(),
                entry={"title": f"Area {place}", "photograph_ids": made[place : place + 4]},
            )  # fmt: skip
        signed_in.get(url("series", case))
        counted.append(statements_of(signed_in, url("series", case)))
    assert counted[0] == counted[1]
    assert counted[0] <= 15


def test_two_photographs_stand_side_by_side_veiled_for_who_only_reads(client, vasko, three):
    for photograph in three.photograph_set.all():
        tasks.derive_images(photograph_id=str(photograph.pk))
    where = url("photographs-compare", three)
    client.force_login(vasko)
    text = client.get(f"{where}?left=1&right=3").content.decode()
    assert text.count('data-widget="photo-viewer"') == 2
    assert text.count('data-widget="veil" open') == 2
    assert "?right=2&amp;left=1" in text
    client.force_login(make_staff(Role.RECORDS_CLERK))
    text = client.get(f"{where}?left=1&right=3").content.decode()
    assert 'data-widget="veil" open' not in text
    for asked in ("", "?left=1", "?left=1&right=99", "?left=x&right=1"):
        assert client.get(where + asked).status_code == 302


def test_side_by_side_needs_few_statements(signed_in, three):
    where = f"{url('photographs-compare', three)}?left=1&right=3"
    signed_in.get(where)
    assert statements_of(signed_in, where) <= 15


def test_what_the_log_lacks_names_the_injury_that_is_only_seen_from_afar(signed_in, vasko):
    case = make_case()
    finding = make_finding(case, vasko)
    add(vasko, case, picture_bytes(), view="overview", finding_ids=[finding.pk])
    text = signed_in.get(url("photographs", case)).content.decode()
    assert "Injuries that no close-up shows:" in text
    assert "No identification photograph" in text


def test_outlines_and_series_go_through_the_api(signed_in, linked):
    case = linked.case
    api = f"/api/cases/{case.pk}"
    sent = {"content_type": "application/json"}
    kept = signed_in.post(
        f"{api}/photograph-links/{linked.pk}/outline/",
        json.dumps({"version": 1, "outline": [[0.5, 0.5]]}), **sent,
    )  # fmt: skip
    assert (kept.status_code, kept.json()["outline"], kept.json()["version"]) == (
        200,
        [[0.5, 0.5]],
        2,
    )
    wrong = signed_in.post(
        f"{api}/photograph-links/{linked.pk}/outline/",
        json.dumps({"version": 2, "outline": [[1.5, 0.5]]}), **sent,
    )  # fmt: skip
    assert wrong.status_code == 422
    other = add(linked.created_by, case, picture_bytes(5), view="close-up")
    body = {"id": str(new_id()), "title": "chest",
            "photographs": [str(other.pk), str(linked.photograph_id)]}  # fmt: skip
    for _ in range(2):
        made = signed_in.post(f"{api}/photograph-series/", json.dumps(body), **sent)
        assert made.status_code == 201
        assert [each["view"] for each in made.json()["photographs"]] == ["overview", "close-up"]
    third = add(linked.created_by, case, picture_bytes(6))
    more = signed_in.post(
        f"{api}/photograph-series/{body['id']}/photographs/",
        json.dumps({"id": str(new_id()), "photograph": str(third.pk)}), **sent,
    )  # fmt: skip
    assert (more.status_code, len(more.json()["photographs"])) == (201, 3)
    member = more.json()["photographs"][0]
    out = signed_in.post(
        f"{api}/photograph-series-members/{member['id']}/void/",
        json.dumps({"version": member["version"], "reason": "left side"}), **sent,
    )  # fmt: skip
    assert len(out.json()["photographs"]) == 2
    assert len(signed_in.get(f"{api}/photograph-series/").json()) == 1
    gone = signed_in.post(
        f"{api}/photograph-series/{body['id']}/void/",
        json.dumps({"version": 1, "reason": "two areas"}), **sent,
    )  # fmt: skip
    assert gone.json()["voided_at"]
    assert signed_in.get(f"{api}/photograph-series/").json() == []


# Written out a second time: each kind of gap has its own heading, in the order of the log.
HEADINGS = {
    LogGapKind.IDENTIFICATION: "No identification photograph",
    LogGapKind.INJURY: "Injuries that no photograph shows:",
    LogGapKind.CLOSE_UP: "Injuries that no close-up shows:",
    LogGapKind.SCALE: "Close-ups without a matching picture with a scale:",
    LogGapKind.SURROUNDINGS: "Close-ups without an overview or mid-range picture of the same "
    "place:",
}


@pytest.mark.parametrize("kind", LogGapKind)
def test_the_log_heads_each_kind_of_gap_and_none_that_is_not_there(kind):
    two = [LogGap(kind, "-"), LogGap(kind, "-")]
    assert pointing_out._missing_groups(two) == [{"title": HEADINGS[kind], "rows": two}]


def test_the_log_heads_all_kinds_of_gaps_in_their_order():
    groups = pointing_out._missing_groups([LogGap(kind, "-") for kind in reversed(LogGapKind)])
    assert [group["title"] for group in groups] == list(HEADINGS.values())
    assert pointing_out._missing_groups([]) == []
