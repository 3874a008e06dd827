"""What the parts of the office tell in a case's time line: of this case, what stands, by whom."""

from __future__ import annotations

from datetime import date

import pytest
from django.urls import reverse
from django.utils import timezone

from cases.course import moments_in
from cases.models import BodyReceipt, JurisdictionDecision, Person
from cases.queries.file import case_file
from cases.remains import actions, disposing
from cases.views.facts import moments_of
from me_office.accounts.models import Staff
from me_office.accounts.roles import Role
from me_office.audit.ids import new_id
from tests.builders import make_staff
from tests.remains.builders import body_in, bring_back, release, technician

pytestmark = pytest.mark.django_db


def told(case, title):
    return [one for one in moments_in(case) if one.title == title]


def test_the_time_line_is_of_one_case_and_of_what_stands():
    case, other = body_in(), body_in()
    kept, _ = release(case), release(other, released_to="Sorrel & Finch")
    assert [one.detail for one in told(case, "Body released")] == [
        f"to {kept.released_to}, taken by {kept.taken_by}"
    ]
    back = bring_back(case)
    assert len(told(case, "Body received again")) == 1
    actions.void_return(technician(), record_id=back.pk, version=1, reason="of another case")
    assert told(case, "Body received again") == []
    actions.void_release(technician(), record_id=kept.pk, version=1, reason="of another case")
    assert told(case, "Body released") == []
    assert len(told(other, "Body released")) == 1


def test_a_person_without_a_name_to_print_is_told_by_the_user_name():
    case, renn = body_in(), make_staff(Role.EVIDENCE_TECHNICIAN, username="renn")
    release(case, renn)
    assert [one.who for one in told(case, "Body released")] == [str(renn)]
    Staff.objects.filter(pk=renn.pk).update(display_name="")
    assert [one.who for one in told(case, "Body released")] == ["renn"]


def test_what_became_of_the_remains_stands_at_the_end_of_its_day_without_a_time(client):
    case = body_in()
    gone = release(case)
    day: date = timezone.localdate(gone.released_at)
    disposing.record_disposition(
        make_staff(Role.RECORDS_CLERK), case_id=case.pk, record_id=new_id(),
        entry={
            "method": "burial", "done_on": day, "place": "Tarnford cemetery",
            "known_from": "certificate as filed",
        },
    )  # fmt: skip
    (last,) = [one for one in moments_in(case) if one.title.startswith("Final disposition")]
    assert last.day_only and last.at > gone.released_at
    assert timezone.localtime(last.at).date() == day
    assert (timezone.localtime(last.at).hour, last.detail) == (23, "Tarnford cemetery")
    client.force_login(make_staff(Role.INVESTIGATOR))
    page = client.get(reverse("cases:case", args=[case.pk])).content.decode()
    story = page[page.index("What happened") : page.index("Latest changes")]
    assert "Final disposition: burial" in story and "23:59" not in story


def test_who_decided_received_and_notified_stands_by_itself():
    case, quill = body_in(), make_staff(Role.INVESTIGATOR, name="L. Quill")
    said = {"case": case, "created_by": quill, "changed_by": quill}
    now = timezone.now()
    JurisdictionDecision.objects.create(
        **said, outcome="accepted", ground="sudden death", decided_by=quill, decided_at=now
    )
    Person.objects.create(
        **said, part="next of kin", name="T. Marrable", relation="niece",
        notified_at=now, notified_by=quill,
    )  # fmt: skip
    BodyReceipt.objects.filter(case=case).update(received_by=quill)
    told = {one["title"]: one for one in moments_of(case, case_file(case))}
    decided = told["Jurisdiction accepted"]
    assert (decided["detail"], decided["who"]) == ("sudden death", "L. Quill")
    assert told["Body received"]["who"] == "L. Quill"
    kin = told["T. Marrable notified"]
    assert (kin["detail"], kin["who"]) == ("niece", "L. Quill")
    Person.objects.filter(case=case).update(notified_at=None, notified_by=None)
    assert "T. Marrable notified" not in {one["title"] for one in moments_of(case, case_file(case))}
