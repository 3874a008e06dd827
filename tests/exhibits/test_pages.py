"""Pages and API: who sees what, what bad input gets, what the courtroom screen shows."""

from __future__ import annotations

import io
import json
import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from PIL import Image

from cases.exhibits import burning, queries, tasks
from cases.exhibits.models import Exhibit, ExhibitSet, Redaction
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from me_office.audit.models import AccessEvent
from tests.builders import make_case, make_staff
from tests.demo.heard import Page
from tests.exhibits.builders import (
    FACE,
    link_contusion,
    make_exhibit,
    make_photograph,
    make_redaction,
    make_set,
)
from tests.packets.builders import make_clerk, make_request

pytestmark = pytest.mark.django_db
CASE_ROLES = [role for role in Role if role is not Role.ADMINISTRATOR]
PREPARE = {Role.PATHOLOGIST, Role.SUPERVISOR, Role.RECORDS_CLERK}


@pytest.fixture
def full(vasko):
    """A set with one exhibit whose photograph is redacted and shows a contusion."""
    case = make_case(by=vasko)
    photograph = make_photograph(vasko, case, shows="Right side of the back, close.")
    link_contusion(vasko, case, photograph)
    trial = make_set(vasko, case, cause_number="26-CF-0117")
    exhibit = make_exhibit(vasko, trial, photograph, number="14")
    return exhibit, make_redaction(vasko, photograph)


def url(name, record, **keys):
    return reverse(f"exhibits:{name}", kwargs={"case_id": record.case_id, **keys})


def status_of(client, page):
    """Ask for a page or a picture; a file that is sent is read to its end."""
    answer = client.get(page)
    if answer.streaming:
        answer.getvalue()
    return answer.status_code


def pages_of(exhibit, redaction):
    into = {"set_id": exhibit.exhibit_set_id}
    one = {**into, "exhibit_id": exhibit.pk}
    shot = {"photograph_id": exhibit.photograph_id}
    return {
        "see": [
            url("sets", exhibit), url("set", exhibit, **into), url("exhibit", exhibit, **one),
            url("contact-sheet", exhibit, **into), url("present", exhibit, **into),
            url("thumb", exhibit, **one), url("screen", exhibit, **one),
            url("large", exhibit, **one), url("redaction", exhibit, redaction_id=redaction.pk),
        ],
        "prepare": [
            url("make-set", exhibit), url("choose-to-redact", exhibit),
            url("change-set", exhibit, **into), url("withdraw-set", exhibit, **into),
            url("choose", exhibit, **into), url("remove-exhibit", exhibit, **one),
            url("redact", exhibit, **shot),
            f"{url('redact-preview', exhibit, **shot)}?regions={json.dumps([FACE])}",
            url("take-back-redaction", exhibit, redaction_id=redaction.pk),
        ],
    }  # fmt: skip


def test_a_broken_download_of_a_redacted_copy_goes_on(client, full):
    exhibit, redaction = full
    client.force_login(make_staff(Role.PATHOLOGIST))
    where = url("redaction", exhibit, redaction_id=redaction.pk)
    head, whole = client.head(where), client.get(where).getvalue()
    assert (head.status_code, head["Content-Length"]) == (200, str(len(whole)))
    rest = client.get(where, headers={"Range": "bytes=9-", "If-Range": head["ETag"]})
    assert (rest.status_code, rest.getvalue()) == (206, whole[9:])
    assert AccessEvent.objects.filter(what="redacted copy", record_id=redaction.pk).count() == 2


def test_all_see_exhibits_and_some_prepare_them(client, full):
    pages = pages_of(*full)
    for role in CASE_ROLES:
        client.force_login(make_staff(role))
        seen = [status_of(client, page) for page in pages["see"]]
        assert seen == [200] * len(pages["see"]), role
        expected = 200 if role in PREPARE else 403
        found = [status_of(client, page) for page in pages["prepare"]]
        assert found == [expected] * len(pages["prepare"]), role
        shown = client.get(pages["see"][0]).content.decode()
        assert ("Make an exhibit set" in shown) == (role in PREPARE), role
        assert "Face of a bystander" in shown, role


def test_a_restricted_case_shows_nothing_of_its_exhibits(client, full):
    exhibit, redaction = full
    exhibit.case.restricted = True
    exhibit.case.save()
    client.force_login(make_staff(Role.SUPERVISOR))
    pages = pages_of(exhibit, redaction)
    for page in [*pages["see"], *pages["prepare"]]:
        assert client.get(page).status_code == 404, page


def test_a_set_is_made_filled_ordered_and_cleared_by_pages(desk, vasko):
    case = make_case(by=vasko)
    photographs = [make_photograph(vasko, case, seed) for seed in (1, 2)]
    page = reverse("exhibits:make-set", kwargs={"case_id": case.pk})
    wrong = desk.post(page, {"title": "", "court": "Circuit Court"})
    assert wrong.status_code == 422
    assert "Circuit Court" in wrong.content.decode()
    key = new_id()
    for _ in range(2):
        desk.post(page, {"title": "Trial", "record_id": key})
    trial = ExhibitSet.objects.get()
    choose = url("choose", trial, set_id=trial.pk)
    assert "Choose at least one" in desk.post(choose, {"record_id": new_id()}).content.decode()
    form = {"photograph": [str(one.pk) for one in photographs], "record_id": new_id()}
    assert desk.post(choose, form).status_code == 302
    desk.post(choose, form)
    first, second = queries.exhibits_of(trial)
    move = url("move-exhibit", trial, set_id=trial.pk, exhibit_id=second.pk)
    assert desk.post(move, {"version": 1, "place": 1}).status_code == 302
    assert [one.number for one in queries.exhibits_of(trial)] == ["2", "1"]
    stale = desk.post(move, {"version": 1, "place": 2})
    assert stale.status_code == 409
    assert "The order was not changed" in stale.content.decode()
    remove = url("remove-exhibit", trial, set_id=trial.pk, exhibit_id=first.pk)
    desk.post(remove, {"version": 1, "reason": "excluded"})
    assert [one.number for one in queries.exhibits_of(trial)] == ["2"]


def test_the_log_is_filtered_where_photographs_are_chosen(desk, vasko):
    case = make_case(by=vasko)
    make_photograph(vasko, case, 1, shows="Left hand", view="close-up", with_scale=True)
    seen = make_photograph(vasko, case, 2, shows="Whole room", place="scene")
    link_contusion(vasko, case, seen)
    trial = make_set(vasko, case)
    page = url("choose", trial, set_id=trial.pk)
    finding = seen.finding_links.get().finding_id
    for query, expected in (
        ("", {"Left hand", "Whole room"}),
        ("place=scene", {"Whole room"}),
        ("view=close-up", {"Left hand"}),
        ("scale=with", {"Left hand"}),
        ("words=hand", {"Left hand"}),
        (f"finding={finding}", {"Whole room"}),
        ("finding=nonsense&after=x", {"Left hand", "Whole room"}),
        ("words=foot", set()),
    ):
        text = desk.get(f"{page}?{query}").content.decode()
        assert {words for words in ("Left hand", "Whole room") if f"· {words}" in text} == expected


def test_a_bad_or_stale_exhibit_keeps_what_was_typed(desk, full):
    exhibit, _ = full
    page = url("exhibit", exhibit, set_id=exhibit.exhibit_set_id, exhibit_id=exhibit.pk)
    typed = {"number": "", "caption": "The back", "plain_words": "A bruise.", "version": 1}
    wrong = desk.post(page, typed)
    assert wrong.status_code == 422
    assert "The back" in wrong.content.decode()
    assert desk.post(page, {**typed, "number": "15"}).status_code == 302
    stale = desk.post(page, {**typed, "number": "16"})
    assert stale.status_code == 409
    assert "You wrote" in stale.content.decode()


def test_the_courtroom_screen_shows_nothing_but_the_exhibit(desk, full):
    exhibit, _ = full
    answer = desk.get(url("present", exhibit, set_id=exhibit.exhibit_set_id))
    whole = answer.content.decode()
    shown = whole[whole.index("<main") : whole.index("</main>")]
    # What waits for a key: the numbers of the exhibits, their captions only for who listens.
    chosen = re.findall(r'<button type="button" data-place="0">(.*?)</button>', whole)
    words = [" ".join(re.sub(r"<[^>]+>", " ", part).split()) for part in (shown, *chosen)]
    assert words == [
        "Exhibit 14 photograph 1 Right side of the back, close. Contusion: a bruise. "
        "1 of 1 No exhibit is shown Press H to show the exhibit",
        "14 Right side of the back, close.",
    ]
    assert re.fullmatch(r'14 <span class="hidden-words">[^<]*</span>', chosen[0])
    # The covered screen has a title, and no exhibit's.
    assert list(Page(answer.request["PATH_INFO"], whole).wrong()) == []
    # Nothing was measured, so that no button offers it.
    assert 'data-act="lines"' not in whole
    for word in ("Hallstead", "Oren", exhibit.case.number, "26-CF-0117", "Trial", "Ostrander"):
        assert word not in whole
    assert answer["Cache-Control"] == "private, no-store"
    event = AccessEvent.objects.filter(what="exhibits presented").get()
    assert (event.actor_name, event.record_id) == ("R. Ostrander", str(exhibit.exhibit_set_id))


def test_every_size_of_a_redacted_photograph_is_the_redacted_copy(desk, full):
    exhibit, _ = full
    keys = {"set_id": exhibit.exhibit_set_id, "exhibit_id": exhibit.pk}
    for kind in ("thumb", "screen", "large"):
        content = desk.get(url(kind, exhibit, **keys)).getvalue()
        picture = Image.open(io.BytesIO(content)).convert("RGB")
        assert picture.getpixel((60, 50)) == pytest.approx(burning.COVER_COLOR, abs=2)
        assert not picture.getexif()
    looked = AccessEvent.objects.filter(what="exhibit", record_id=str(exhibit.photograph_id))
    assert looked.count() == 2


def test_a_redaction_is_drawn_looked_at_kept_and_taken_back_by_pages(desk, vasko):
    case = make_case(by=vasko)
    photograph = make_photograph(vasko, case)
    page = url("redact", photograph, photograph_id=photograph.pk)
    for form, words in (
        ({"regions": "[]", "reason": "Face"}, "Draw at least one region"),
        ({"regions": "[", "reason": "Face"}, "could not be read"),
        ({"regions": json.dumps([FACE]), "reason": ""}, "This field is required"),
    ):
        wrong = desk.post(page, form)
        assert wrong.status_code == 422
        assert words in wrong.content.decode()
    looked = url("redact-preview", photograph, photograph_id=photograph.pk)
    assert desk.get(f"{looked}?regions={json.dumps([FACE])}")["Content-Type"] == "image/jpeg"
    assert desk.get(f"{looked}?regions=[").status_code == 422
    assert Redaction.objects.count() == 0
    subpoena = make_request(case, make_clerk())
    for_it = f"{page}?request={subpoena.pk}"
    assert subpoena.told_apart in desk.get(for_it).content.decode()
    key = new_id()
    form = {"regions": json.dumps([FACE]), "reason": "Face", "version": 0, "record_id": key}
    back = reverse("court:request", args=[case.pk, subpoena.pk])
    assert desk.post(for_it, form).url == back
    assert [desk.post(page, form).status_code for _ in range(2)] == [302, 302]
    waits = desk.post(page, {**form, "record_id": new_id()})
    assert (waits.status_code, "is being made" in waits.content.decode()) == (422, True)
    assert "every 1s" in desk.get(url("sets", photograph)).content.decode()
    assert "A redacted copy is being made." in desk.get(page).content.decode()
    tasks.make_redaction(request_id=str(key))
    part = desk.get(url("redaction-log", photograph), HTTP_HX_REQUEST="true").content.decode()
    assert ("every 1s" in part, "Download" in part) == (False, True)
    assert desk.get(url("redaction-log", photograph)).status_code == 302
    assert desk.post(page, {**form, "record_id": new_id()}).status_code == 409
    made = Redaction.objects.get()
    assert "[40, 30]" in desk.get(page).content.decode(), "drawing goes on from what is hidden"
    take_back = url("take-back-redaction", photograph, redaction_id=made.pk)
    assert desk.post(take_back, {"version": 1, "reason": ""}).status_code == 422
    assert desk.post(take_back, {"version": 1, "reason": "ruled so"}).status_code == 302
    listed = desk.get(url("sets", photograph)).content.decode()
    assert "Withdrawn." in listed
    assert "ruled so" in listed


def test_pages_of_a_set_take_as_many_statements_for_sixty_as_for_three(desk, vasko):
    case = make_case(by=vasko)
    trial = make_set(vasko, case)
    counts = {}
    photograph = make_photograph(vasko, case)
    made = make_exhibit(vasko, trial, photograph)
    pages = [
        url(name, trial, set_id=trial.pk) for name in ("set", "contact-sheet", "present", "choose")
    ]
    pages.append(url("sets", trial))
    for wanted in (3, 60):
        for number in range(Exhibit.objects.count() + 1, wanted + 1):
            _copy_row(photograph, made, number)
        for page in pages:
            desk.get(page)
            with CaptureQueriesContext(
                connection,
            ) as statements:
                assert desk.get(page).status_code == 200
            counts.setdefault(page, set()).add(len(statements))
    assert all(len(found) == 1 for found in counts.values()), counts
    assert max(max(found) for found in counts.values()) <= 15, counts


def _copy_row(photograph, exhibit, number):
    """Another photograph and exhibit, written past the actions."""
    from evidence.items.models import Item
    from evidence.photographs.models import Photograph
    from evidence.store.models import StoredFile

    marks = {"created_by": photograph.created_by, "changed_by": photograph.created_by}
    item = Item.objects.create(
        case=photograph.case, number=number, kind="photograph", title="Photograph", **marks
    )
    file = StoredFile.objects.create(
        sha256=f"{number:064x}", size_bytes=1, media_type="image/jpeg", path=f"originals/{number}"
    )
    shot = Photograph.objects.create(
        case=photograph.case, item=item, number=number, file=file, original_name="a.jpg",
        photographer="P. Sedge", place="scene", view="overview", width_px=8, height_px=6,
        preview="made", **marks,
    )  # fmt: skip
    Exhibit.objects.create(
        case=photograph.case, exhibit_set=exhibit.exhibit_set, photograph=shot,
        position=number * 1024, number=str(number), caption="A room", **marks,
    )  # fmt: skip


def api(name, record, **keys):
    return reverse(f"exhibits_api:{name}", kwargs={"case_id": record.case_id, **keys})


def test_the_whole_way_by_the_api(desk, vasko):
    case = make_case(by=vasko)
    photograph = make_photograph(vasko, case)

    def post(address, body):
        return desk.post(address, body, content_type="application/json")

    sets = api("sets", photograph)
    body = {"id": str(new_id()), "title": "Trial"}
    made = post(sets, body)
    assert (made.status_code, made.json()["version"]) == (201, 1)
    assert post(sets, body).json() == made.json()
    one = {"set_id": body["id"]}
    changed = desk.put(
        api("set", photograph, **one),
        {"title": "Deposition", "version": 1},
        content_type="application/json",
    )
    assert changed.json()["title"] == "Deposition"
    exhibits = api("exhibits", photograph, **one)
    entry = {"id": str(new_id()), "photograph": str(photograph.pk), "number": "14"}
    assert post(exhibits, entry).status_code == 201
    key = {"exhibit_id": entry["id"]}
    fields = {"number": "15", "caption": "The back", "plain_words": ""}
    saved = desk.put(
        api("exhibit", photograph, **key), {**fields, "version": 1}, content_type="application/json"
    )
    assert (saved.json()["number"], saved.json()["version"]) == ("15", 2)
    stale = post(api("move-exhibit", photograph, **key), {"version": 1, "place": 1})
    assert (stale.status_code, stale.json()["code"]) == (409, "stale")
    assert [row["photograph_number"] for row in desk.get(exhibits).json()] == [1]
    moved = post(api("move-exhibit", photograph, **key), {"version": 2, "place": 1})
    assert moved.json()["version"] == 3
    gone = post(api("remove-exhibit", photograph, **key), {"version": 3, "reason": "excluded"})
    assert gone.json()["voided_at"]
    redactions = api("redactions", photograph, photograph_id=photograph.pk)
    wanted = {"id": str(new_id()), "version": 0, "regions": [FACE], "reason": "Face"}
    kept = post(redactions, wanted)
    assert (kept.status_code, kept.json()["state"]) == (202, "waiting")
    tasks.make_redaction(request_id=wanted["id"])
    asked = api("redaction-request", photograph, request_id=wanted["id"])
    assert (desk.get(asked).json()["state"], desk.get(asked).json()["percent"]) == ("made", 100)
    (row,) = desk.get(redactions).json()
    assert (row["id"], row["parent_sha256"]) == (wanted["id"], photograph.file.sha256)
    wrong = post(redactions, {**wanted, "regions": [], "id": str(new_id())})
    assert (wrong.status_code, wrong.json()["field"]) == (422, "regions")
    assert len(desk.get(redactions).json()) == 1
    back = api("take-back-redaction", photograph, redaction_id=wanted["id"])
    assert post(back, {"version": 1, "reason": "ruled so"}).json()["void_reason"] == "ruled so"
    withdrawn = post(api("withdraw-set", photograph, **one), {"version": 2, "reason": "settled"})
    assert withdrawn.json()["voided_at"]
    desk.force_login(make_staff(Role.INVESTIGATOR))
    assert post(sets, {**body, "id": str(new_id())}).status_code == 403
    assert desk.get(api("sets", photograph)).json() == []
