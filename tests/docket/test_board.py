"""The board and figures as pages and API, who handles a request, protective orders."""

from __future__ import annotations

import csv
import io
import re
from copy import copy
from datetime import datetime, time, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.conf import settings
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from cases.answers.models import Answer, Delivery, Opening
from cases.court.models import (
    Authority,
    Closing,
    Demand,
    Invoice,
    RecordsRequest,
    Release,
    RequestCase,
)
from cases.decisions.actions import leave_out_records, note_stop
from cases.decisions.models import Approval, Ground, ItemDecision, LookAsked, Stop, StopSettled
from cases.docket import actions, queries, yearly
from cases.docket.letter_values import MOST_LINES, listed, rest_words
from cases.docket.models import Handling, ProtectiveOrder
from cases.docket.queries import Choice
from cases.letters.merging import gaps_in, merged
from cases.letters.models import Letter, LetterSending
from cases.letters.values import values_for
from cases.models import Case
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.errors import Conflict, NotAllowed, Refused
from me_office.audit.ids import new_id
from me_office.audit.models import AuditEvent
from me_office.audit.records import save_new
from tests.builders import as_person, make_case, make_staff, set_back
from tests.decisions.builders import decide as decided
from tests.decisions.builders import picked, reaching
from tests.docket.builders import DAY, decide, demand, due, given, order, today, waits
from tests.letters.builders import made, written
from tests.packets.builders import make_packet, make_request

pytestmark = pytest.mark.django_db


@pytest.fixture
def asked(clerk):
    return make_request(make_case(), clerk)


def test_what_a_request_waits_for_follows_what_is_recorded(clerk, vasko, asked):
    assert waits(clerk, asked) == ("clerk", "demands to be entered")
    one = demand(asked, clerk)
    assert waits(clerk, asked) == ("clerk", "the demand for records reaches nothing yet")
    for words in ("Slides", "Ledger", "Diary"):
        reaching(one, clerk, "other", words=words)
    assert waits(clerk, asked) == ("clerk", "3 of 3 items undecided")
    first, *others = picked(one)
    decided(one, clerk, "missing", items=[first])
    assert waits(clerk, asked) == ("clerk", "2 of 3 items undecided")
    decided(one, clerk, "missing", items=others)
    assert waits(clerk, asked) == ("second", "approval of 3 items")
    # Of testimony nothing is decided item by item: it keeps nobody waiting for the clerk.
    demand(asked, clerk, 2, "testimony")
    assert waits(clerk, asked) == ("second", "approval of 3 items")
    look = LookAsked(case=asked.case, request=asked, demand=one, asked_of=vasko, words="Is it?")
    save_new(clerk, look, own_key=True)
    assert waits(clerk, asked)[0] == "look"
    LookAsked.objects.update(answered_at=timezone.now(), answer="Yes")
    stop = Stop(case=asked.case, kind=Stop._meta.get_field("kind").choices[0][0], why="Sealed")
    save_new(clerk, stop, own_key=True)
    assert waits(clerk, asked)[0] == "counsel"
    settled = StopSettled(case=asked.case, request=asked, stop=str(stop.pk), words="By order")
    settled.on_word_of = "J. Moss"
    save_new(clerk, settled, own_key=True)
    assert waits(clerk, asked)[0] == "second"
    save_new(vasko, Approval(case=asked.case, request=asked, digest="a" * 64, items=1))
    assert waits(clerk, asked) == ("clerk", "an answer to be made")
    written(asked, clerk)
    assert waits(clerk, asked) == ("clerk", "a letter to be finished")
    answer = Answer(
        case=asked.case, request=asked, number=1, decided="a" * 64, decided_at=timezone.now()
    )
    save_new(clerk, answer, own_key=True)
    assert waits(clerk, asked) == ("office", "answer 1 is being made")


def test_a_stop_keeps_back_the_request_and_the_cases_that_it_is_of_until_its_last_day(clerk, asked):
    """Counted as the room of the decisions counts it: of its request, of further cases too."""
    demand(asked, clerk)
    case, other = {"case_id": asked.case_id}, make_request(asked.case, clerk)
    said = {"kind": "sealed", "why": "Order"}
    for more in ({"request_id": other.pk}, {"until": today() - DAY}):
        note_stop(clerk, record_id=new_id(), entry={**said, **more}, **case)
    assert waits(clerk, asked)[0] == "clerk"
    assert waits(clerk, other) == ("counsel", "one thing keeps the answer back until decided")
    further = make_case()
    tied = {"created_by": clerk, "changed_by": clerk}
    RequestCase.objects.create(case=further, request=asked, **tied)
    note_stop(clerk, case_id=further.pk, record_id=new_id(), entry=said)
    assert waits(clerk, asked) == ("counsel", "one thing keeps the answer back until decided")
    # Of a further case that is closed to the person nothing is told but that its team decides.
    Case.objects.filter(pk=further.pk).update(restricted=True)
    one = demand(asked, clerk, 2)
    for reached in (one, Demand.objects.get(request=asked, number=1)):
        reaching(reached, clerk, "history")
        decided(reached, clerk, "missing")
    assert waits(clerk, asked) == ("look", "a member of the named team of a further case")
    page = as_person(clerk).get(reverse("court:request", args=[asked.case_id, asked.pk]))
    assert "a member of the named team of a further case" in page.content.decode()
    [told] = [row for row in as_person(clerk).get(reverse("docket_api:board")).json()
              if row["request"] == str(asked.pk)]  # fmt: skip
    assert told["waits"] == "a member of the named team of a further case"


def test_a_letter_names_what_is_kept_back_as_the_log_does_and_says_what_it_lacks(clerk, asked):
    ground = save_new(clerk, Ground(number=1, words="A living person", citation="Code 4"))
    one, two = demand(asked, clerk), demand(asked, clerk, 2)
    reached = [
        reaching(of, clerk, "other", words=words)
        for of, words in ((one, "Interview of Marla Quince"), (one, "Ledger"), (two, "Diary"))
    ]
    decided(one, clerk, "withhold", ground=ground)
    told = values_for(clerk, asked)["withheld list"]
    [line] = told.splitlines()
    assert line.endswith(": A living person (Code 4)") and "Quince" not in told
    # The second demand is not decided: whoever writes looks before the letter is made.
    begun = merged("{withheld list}", {"withheld list": told})
    assert gaps_in(begun) == ["what becomes of 1 item not decided"]
    decided(two, clerk, "missing")
    values = values_for(clerk, asked)
    assert gaps_in(merged("{withheld list} {missing list}", values)) == []
    assert values["missing list"] == "Diary"
    # What the demand no longer reaches is in no log, and in no letter.
    leave_out_records(
        clerk, case_id=asked.case_id, request_id=asked.pk, record_id=reached[2].pk, version=1,
        reason="Struck",
    )  # fmt: skip
    assert "missing list" not in values_for(clerk, asked)
    other = make_case()
    save_new(clerk, RequestCase(case=other, request=asked), own_key=True)
    Case.objects.filter(pk=other.pk).update(restricted=True)
    begun = merged("{withheld list}", values_for(clerk, asked))
    assert "a member of the named team" in gaps_in(begun)[0] and other.label not in begun
    Case.objects.filter(pk=asked.case_id).update(restricted=True)
    assert "withheld list" not in values_for(clerk, asked)


def test_a_list_that_is_too_long_for_a_letter_says_how_many_more_there_are():
    lines = [f"P {number}" for number in range(MOST_LINES + 3)]
    assert listed(lines[:MOST_LINES]).splitlines() == lines[:MOST_LINES]
    assert listed(lines).splitlines()[-1] == "and 3 more"
    assert listed(lines, in_log=True).endswith(
        "and 3 more, each named in the log of what is kept back"
    )
    assert listed([], "something") == ""
    words = rest_words(undecided=2, closed_cases=1)
    assert words.startswith("what becomes of 2 items not decided; what a member")


def test_a_packet_that_is_asked_for_is_told(clerk):
    asked = make_request(make_case(state="signed"), clerk)
    make_packet(asked, clerk)
    assert waits(clerk, asked) == ("office", "packet 1 is being made")


def test_a_restricted_case_waits_for_counsel_and_stands_on_no_strangers_board(clerk):
    boss = make_staff(Role.SUPERVISOR)
    asked = make_request(make_case(), clerk)
    from cases.actions import restrict_case

    restrict_case(boss, case_id=asked.case_id, version=asked.case.version, reason="press")
    assert queries.read_rows(clerk, "", today()) == ([], True)
    assert as_person(clerk).get(reverse("docket:board")).status_code == 200


def test_the_board_is_grouped_filtered_and_sent_as_csv(clerk, monkeypatch):
    case = make_case()
    late, soon, later, still = (make_request(case, clerk, cause_number=f"N-{n}") for n in "1234")
    due(late, -2), due(soon, 3), due(later, 20), due(still, -9, stopped_since=today() - DAY)
    given(clerk, soon, clerk)
    found = queries.board_of(clerk, Choice(), today())
    assert [(one.asked, one.group.value) for one in found.rows] == [
        (late, "overdue"), (soon, "week"), (later, "later"), (still, "stopped"),
    ]  # fmt: skip
    assert found.rows[1].handler == clerk and found.whole
    # Each part is counted and read by itself, however many are due before it.
    with monkeypatch.context() as few:
        few.setattr(queries, "MOST_OPEN", 1)
        cut = queries.board_of(clerk, Choice(), today())
        assert (len(cut.rows), cut.whole, set(cut.groups.values())) == (1, False, {1})
        for group, one in (("overdue", late), ("week", soon), ("later", later),
                           ("stopped", still)):  # fmt: skip
            part = queries.board_of(clerk, Choice(group=group), today())
            assert ([row.asked for row in part.rows], part.whole) == ([one], True)
    for days, group in ((0, "week"), (7, "week"), (8, "later")):
        due(soon, days)
        [row] = [one for one in queries.board_of(clerk, Choice(group=group), today()).rows
                 if one.asked == soon]  # fmt: skip
        assert row.group == group
    due(soon, 3)
    only = queries.board_of(clerk, Choice(person=str(clerk.pk)), today())
    assert [one.asked for one in only.rows] == [soon]
    free = queries.board_of(clerk, Choice(person="nobody", whom="clerk"), today())
    assert [one.asked for one in free.rows] == [late, later]
    browser = as_person(clerk)
    page = browser.get(reverse("docket:board")).content.decode()
    for said in ("Overdue", "Due within a week", "Clock stopped", "demands to be entered"):
        assert said in page
    answer = browser.get(reverse("docket:export-board"), {"group": "overdue"})
    rows = list(csv.reader(io.StringIO(b"".join(answer).decode("utf-8-sig"))))
    assert [row[2] for row in rows[1:]] == ["N-1"]
    told = browser.get(reverse("docket_api:board")).json()
    assert [one["group"] for one in told] == ["overdue", "stopped", "week", "later"] or len(
        told
    ) == 4


def test_a_board_of_sixty_takes_as_many_statements_as_one_of_three(clerk, asked):
    browser, counts = as_person(clerk), []
    demand(asked, clerk)
    for more in (2, 57):
        rows = [copy(asked) for _ in range(more)]
        for row in rows:
            row.pk = new_id()
        RecordsRequest.objects.bulk_create(rows)
        demands = [
            Demand(case=row.case, request=row, number=1, title="x", created_by=clerk,
                   changed_by=clerk)
            for row in rows
        ]  # fmt: skip
        Demand.objects.bulk_create(demands)
        taken = []
        for name in ("docket:board", "docket:figures"):
            with CaptureQueriesContext(connection) as statements:
                assert browser.get(reverse(name)).status_code == 200
            taken.append(len(statements))
        counts.append(taken)
    assert counts[0] == counts[1]
    assert counts[0][0] <= 15 and counts[0][1] <= 8, counts
    second = browser.get(reverse("docket:board"), {"page": 2}).content.decode()
    assert second.count('class="row"') == 20


def test_a_request_is_given_to_one_and_to_another(clerk, asked):
    boss = make_staff(Role.SUPERVISOR)
    first = given(clerk, asked, clerk)
    assert AuditEvent.objects.latest("id").act == "give_request"
    with pytest.raises(Conflict):
        given(boss, asked, boss)
    with pytest.raises(Refused) as same:
        given(clerk, asked, clerk, before=first.pk)
    assert same.value.field == "person"
    second = given(boss, asked, boss, before=first.pk)
    assert queries.handling_of(asked.pk) == second
    first.refresh_from_db()
    assert first.void_reason == actions.HANDED_ON
    with pytest.raises(Refused):
        given(clerk, asked, make_staff(Role.PATHOLOGIST), before=second.pk)
    with pytest.raises(NotAllowed):
        given(make_staff(Role.PATHOLOGIST), asked, clerk, before=second.pk)


def test_the_same_giving_twice_is_one(clerk, asked):
    key = new_id()
    assert given(clerk, asked, clerk, record_id=key) == given(clerk, asked, clerk, record_id=key)
    assert Handling.objects.count() == 1


def test_the_figures_count_nothing_of_a_further_case_that_is_closed_to_the_person(clerk, asked):
    ground = save_new(clerk, Ground(number=1, words="A living person", citation="Code 4"))
    of, other = demand(asked, clerk), make_case()
    one = ItemDecision(
        case=other, request=asked, demand=of, kind="photograph", item=str(new_id()),
        label="photograph", outcome="withhold", ground=ground, together=new_id(),
    )  # fmt: skip
    save_new(clerk, one, own_key=True)
    served = asked.served_on
    year = yearly.year_of(clerk, served, served, today())
    assert [kept.withheld for kept in year.kept] == [1]
    Case.objects.filter(pk=other.pk).update(restricted=True)
    year = yearly.year_of(clerk, served, served, today())
    assert (year.year.part("asked").count, year.kept) == (1, [])


def test_a_year_opens_into_its_requests(clerk, asked):
    due(asked, -3, served_on=today(), due_on=today())
    ground = save_new(clerk, Ground(number=9, words="A living person", citation="Code 4"))
    decide(clerk, demand(asked, clerk), ground)
    browser = as_person(clerk)
    page = browser.get(reverse("docket:figures")).content.decode()
    assert "9. A living person" in page and "none answered" in page
    opened = browser.get(reverse("docket:figure", args=["asked"])).content.decode()
    assert asked.party in opened
    on = reverse("docket:figure", args=[f"ground-{ground.pk}"])
    assert on in page
    kept = browser.get(on).content.decode()
    assert asked.party in kept and "Kept back on 9. A living person" in kept
    for none in ("nothing", "ground-x", f"ground-{new_id()}"):
        assert browser.get(reverse("docket:figure", args=[none])).status_code == 404
    kinds = browser.get(reverse("docket:figure", args=["kind-subpoena"]))
    assert kinds.status_code == 200
    for bad in ("1066", "x", str(today().year + 1)):
        assert browser.get(reverse("docket:figures"), {"year": bad}).status_code == 404
    before = browser.get(reverse("docket:figures"), {"year": str(today().year - 1)})
    assert asked.party not in before.content.decode()
    rows = b"".join(browser.get(reverse("docket:export-figures"))).decode("utf-8-sig")
    assert "asked,1" in rows and "withheld: 9. A living person,1" in rows
    behind = b"".join(browser.get(reverse("docket:export-figure", args=["open"]))).decode()
    assert asked.party in behind
    stranger = as_person(make_staff(Role.ADMINISTRATOR))
    for name in ("docket:board", "docket:figures"):
        assert stranger.get(reverse(name)).status_code == 403
    assert Case.objects.count() == 1


@pytest.mark.parametrize("kind", [kind for kind, _ in RecordsRequest.KINDS])
def test_each_figure_of_a_year_leads_to_its_requests(clerk, asked, kind):
    due(asked, -3, served_on=today(), due_on=today(), kind=kind)
    browser = as_person(clerk)
    page = browser.get(reverse("docket:figures")).content.decode()
    leads = re.findall(rf'href="({reverse("docket:figures")}[a-z][^"]*/)\?year=', page)
    assert any("/kind-" in one for one in leads)
    for one in leads:
        assert asked.party in browser.get(one).content.decode(), one


def test_a_request_that_was_answered_in_parts_is_answered_with_the_last(clerk, asked):
    set_back(RecordsRequest.objects.filter(pk=asked.pk), state="answered")
    for days in (0, 2):
        part = Release(
            case=asked.case, request=asked, packet_id=new_id(), packet_sha256="a" * 64,
            released_to="J. Moss", method="mail", released_at=timezone.now() - days * DAY,
            released_by=clerk,
        )  # fmt: skip
        save_new(clerk, part, own_key=True)
    [row] = yearly.year_behind(clerk, today() - 9 * DAY, today(), today()).rows
    assert row.answered_on == today()


def test_a_year_is_counted_in_the_database_as_request_by_request(clerk, asked):
    """Every state, in time and late, closed without a packet, stopped, and due today."""
    first, rows = today() - 60 * DAY, []
    for number, (state, due_in, more) in enumerate((
        ("open", -1, {}), ("open", 0, {}), ("open", -1, {"stopped_since": today() - DAY}),
        ("withdrawn", 1, {}), ("answered", 5, {}), ("answered", 5, {}), ("answered", 5, {}),
        ("answered", 1, {}), ("open", -2, {"kind": "discovery"}),
    )):  # fmt: skip
        one = make_request(asked.case, clerk, cause_number=f"N-{number}", **(
            {"kind": more.pop("kind")} if "kind" in more else {}))  # fmt: skip
        due_on = today() + due_in * DAY if state != "answered" else first + due_in * DAY
        set_back(RecordsRequest.objects.filter(pk=one.pk), state=state, served_on=first,
                 due_on=due_on, **more)  # fmt: skip
        rows.append(one)
    late_evening = datetime.combine(first + 5 * DAY, time(23, 30), settings.OFFICE_ZONE)
    for one, at in ((rows[4], late_evening), (rows[5], late_evening + timedelta(hours=1)),
                    (rows[0], late_evening)):  # fmt: skip
        part = Release(
            case=asked.case, request=one, packet_id=new_id(), packet_sha256="a" * 64,
            released_to="J. Moss", method="mail", released_at=at, released_by=clerk,
        )  # fmt: skip
        save_new(clerk, part, own_key=True)
    closed = Closing(case=asked.case, request=rows[7], answered_on=first, how="A letter")
    closed.created_by = closed.changed_by = clerk
    Closing.objects.bulk_create([closed])
    found = yearly.year_of(clerk, first, first, today()).year
    behind = yearly.year_behind(clerk, first, first, today()).year
    named = {one.key: (one.words, len(one.keys)) for one in (*behind.parts, *behind.kinds)}
    assert {one.key: (one.words, one.count) for one in (*found.parts, *found.kinds)} == named
    assert (found.days, found.median_words) == (behind.days, "5 days")
    assert [named[key][1] for key in ("in-time", "late", "no-release", "overdue", "stopped")] == [
        2, 1, 1, 2, 1,
    ]  # fmt: skip


def test_who_has_to_show_a_right_is_waited_for_until_it_is_shown(clerk):
    asked = make_request(make_case(), clerk, kind="records request", asked_under="insurer")
    assert waits(clerk, asked) == ("clerk", "the right of who asks to be checked")
    right = Authority(case=asked.case, request=asked, who="insurer", outcome="open")
    save_new(clerk, right, own_key=True)
    assert waits(clerk, asked)[1] == "the right of who asks to be checked"
    for outcome, words in (
        ("not shown", "the right of who asks was not shown"), ("shown", "demands to be entered"),
    ):  # fmt: skip
        Authority.objects.update(
            outcome=outcome, how="A letter", checked_on=today(), checked_by=clerk
        )
        assert waits(clerk, asked)[1] == words


def test_nothing_of_letters_and_the_board_goes_out_with_a_packet():
    assert all(one.stays_inside for one in (Letter, LetterSending, Handling, ProtectiveOrder))


def laid_ready(by: Any, asked: RecordsRequest, **more: Any) -> Delivery:
    """An answer that lies ready under an address of its own."""
    answer = Answer(
        case=asked.case, request=asked, number=1, decided="a" * 64, decided_at=timezone.now()
    )
    save_new(by, answer, own_key=True)
    release = Release(
        case=asked.case, request=asked, packet_id=answer.pk, packet_sha256="a" * 64,
        released_to="J. Moss", method="secure transfer", released_at=timezone.now(),
        released_by=by,
    )  # fmt: skip
    save_new(by, release, own_key=True)
    laid = Delivery(
        case=asked.case, answer=answer, release=release, method="download", to_whom="J. Moss",
        ends_at=timezone.now() + DAY, token_sha256="b" * 64, password="x",
    )  # fmt: skip
    return save_new(by, laid, own_key=True)


def test_an_answer_that_nobody_downloaded_is_told_until_somebody_did(clerk, asked):
    laid = laid_ready(clerk, asked)
    board = reverse("docket:board")
    assert "Answer 1 for J. Moss" in as_person(clerk).get(board).content.decode()
    for what in ("code", "broken off"):
        Opening.objects.create(case=asked.case, delivery=laid, visit=new_id(), what=what)
    assert queries.not_fetched(clerk, timezone.now()) == [laid]
    assert changed(clerk) == [
        (laid, "built before the last decision: call it back, or let it stand")
    ]
    save_new(clerk, Approval(case=asked.case, request=asked, digest="a" * 64, items=1))
    assert changed(clerk) == []
    note_stop(clerk, case_id=asked.case_id, record_id=new_id(),
              entry={"kind": "sealed", "why": "Order"})  # fmt: skip
    [(_, words)] = changed(clerk)
    assert "something keeps the answer back" in words
    assert "what differs" in as_person(clerk).get(board).content.decode()
    Opening.objects.create(case=asked.case, delivery=laid, visit=new_id(), what="whole")
    assert queries.not_fetched(clerk, timezone.now()) == []


def test_an_address_that_is_closed_or_whose_release_is_withdrawn_asks_for_nothing(clerk, asked):
    laid, now = laid_ready(clerk, asked), timezone.now()
    assert [one for one, _ in changed(clerk)] == queries.not_fetched(clerk, now) == [laid]
    assert waits(clerk, asked)[1] == "demands to be entered", "what was handed over is done"
    set_back(Release.objects.all(), voided_at=now, voided_by=clerk, void_reason="Entered twice")
    assert queries.not_fetched(clerk, now) == []
    set_back(Release.objects.all(), voided_at=None, voided_by=None, void_reason="")
    set_back(Delivery.objects.all(), ends_at=now - timedelta(seconds=1))
    assert (changed(clerk), queries.not_fetched(clerk, now)) == ([], [laid])
    back = {"called_back_at": now, "called_back_why": "Wrong person"}
    set_back(Delivery.objects.all(), ends_at=now + DAY, **back)
    assert (changed(clerk), queries.not_fetched(clerk, now)) == ([], [])


def test_of_a_restricted_case_nothing_is_listed_counted_or_opened(clerk, asked):
    due(asked, 1, served_on=today())
    order(clerk, asked, back_by=today())
    laid_ready(clerk, asked)
    now = timezone.now()

    def told() -> list[int]:
        year = yearly.year_of(clerk, today(), today(), today())
        behind, _, _ = yearly.requests_behind(clerk, [asked.pk], page=1)
        return [
            len(queries.copies_due(clerk, today())), len(queries.not_fetched(clerk, now)),
            len(changed(clerk)), year.year.part("asked").count, len(behind),
        ]  # fmt: skip

    assert told() == [1] * 5
    Case.objects.filter(pk=asked.case_id).update(restricted=True)
    assert told() == [0] * 5


def changed(who: Staff) -> list[tuple[Delivery, str]]:
    found = queries.changed_since(who, today(), timezone.now())
    return [(one.delivery, one.words) for one in found]


def billed(by: Any, asked: RecordsRequest, number: str, total: str, **more: Any) -> Invoice:
    letter = made(asked, by)
    bill = Invoice(
        case=asked.case, request=asked, number=number, billed_to=asked.party, lines=[],
        total=Decimal(total), currency="USD", file=letter.file, **more,
    )  # fmt: skip
    return save_new(by, bill, own_key=True)


def test_an_invoice_that_is_not_paid_is_waited_for_and_a_year_adds_the_fees(clerk, asked):
    due(asked, 0, served_on=today())
    one = demand(asked, clerk)
    reaching(one, clerk, "other", words="Diary")
    decided(one, clerk, "missing")
    save_new(clerk, Approval(case=asked.case, request=asked, digest="a" * 64, items=1))
    billed(clerk, asked, "2026-001", "20.00", paid_on=today(), paid_how="check")
    billed(clerk, asked, "2026-002", "5.50", waived_because="indigent")
    assert waits(clerk, asked)[0] == "clerk", "what is paid or waived is waited for by nobody"
    told = values_for(clerk, asked)
    assert (told["fee.total"], told["fee.number"]) == ("waived", "2026-002")
    billed(clerk, asked, "2026-003", "64.20")
    assert waits(clerk, asked) == ("payment", "invoice 2026-003 to be paid")
    found = yearly.year_of(clerk, today(), today(), today())
    [sums] = found.billed
    assert (sums.invoices, str(sums.billed)) == (3, "89.70")
    assert [str(one) for one in (sums.paid, sums.waived, sums.owed)] == ["20.00", "5.50", "64.20"]
    assert values_for(clerk, asked)["fee.number"] == "2026-003"
    wrong = {"voided_at": timezone.now(), "voided_by": clerk, "void_reason": "wrong"}
    set_back(Invoice.objects.filter(number="2026-003"), **wrong)
    assert "2026-003" not in str(values_for(clerk, asked)), "a withdrawn one is in no letter"
    assert values_for(clerk, asked)["fee.total"] == "waived"
    paid = {"paid_on": today(), "paid_how": "check", "waived_because": ""}
    set_back(Invoice.objects.filter(number="2026-002"), **paid)
    assert "fee.total" not in values_for(clerk, asked), "what was paid is asked for no more"
    set_back(Invoice.objects.filter(number="2026-002"), paid_on=None, paid_how="",
             waived_because="indigent")  # fmt: skip
    set_back(Invoice.objects.filter(number="2026-003"), voided_at=None, voided_by=None)
    page = as_person(clerk).get(reverse("docket:figures")).content.decode()
    assert "89.70" in page
