"""Every rule of consistency speaks once of one case in which it has reason to, with both places."""

from __future__ import annotations

from datetime import date, time, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from cases.certification.models import Certification
from cases.checking import compared, queries
from cases.checking.addresses import place_url
from cases.models import BodyReceipt, Case, Place, ReportOfDeath, Scene, SceneReading
from cases.review.models import Report
from findings.models import Examination
from findings.models.examination import Mark
from findings.organs.models import OrganWeight
from findings.questions.negatives import STATEMENTS
from me_office.accounts.roles import Role
from tests.builders import MOMENT, make_case, make_staff
from tests.evidence.pictures import add, picture_bytes
from tests.review.test_review import examined, injured

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


@pytest.fixture(scope="module")
def contradictory(made_once) -> Case:
    """A man whose record says in many places two things at once."""

    def build() -> Case:
        vasko = make_staff(Role.PATHOLOGIST, name="I. Vasko")
        case = make_case()
        who = {"created_by": vasko, "changed_by": vasko}
        of = {"case": case, **who}
        case.decedent.sex, case.decedent.age_years = "male", Decimal(58)
        case.decedent.save()
        ReportOfDeath.objects.create(
            **of, called_at=MOMENT, caller_name="J. Fenn", place_found="Mill Road 3",
            circumstances="Found at the foot of a ladder.", found_certainty="exact",
            found_at=MOMENT - HOUR, last_alive_certainty="unknown",
        )  # fmt: skip
        Scene.objects.create(
            **of, arrived_at=MOMENT, address="Mill Road 3", position="supine",
            lividity_where="Front of the chest", lividity_blanching="fixed",
            lividity_seen_at=MOMENT,
        )  # fmt: skip
        for number in (1, 2):
            Place.objects.create(
                **of, kind="injury", address=f"Field {number}", told_by="J. Fenn",
                from_at=MOMENT - 5 * HOUR, to_at=MOMENT - 2 * HOUR,
            )  # fmt: skip
        BodyReceipt.objects.create(
            **of, received_at=MOMENT - 2 * HOUR, received_by=vasko, delivered_by="Transport",
            received_from="Mill Road 3", tag_number="T-1", seal_state="none", kept_at="Cooler 1",
        )  # fmt: skip
        made = examined(
            case, vasko, internal="The uterus is small. The skull is intact. Blood was taken.",
            ended_at=MOMENT + HOUR, external=STATEMENTS["external-face"].words,
        )  # fmt: skip
        OrganWeight.objects.create(
            **of, examination=made, organ="heart", weight_g=Decimal(800), seen_as=""
        )
        SceneReading.objects.create(
            **of, kind="liver", value_c=Decimal("25.0"), read_at=MOMENT, method="Probe T-07"
        )
        stab = injured(case, made, vasko, 1, term="Stab wound", place="left thigh",
                       from_midline_cm=-9, midline="anterior")  # fmt: skip
        Mark.objects.create(
            **of, finding=stab, view="anterior", kind="point", points=[[0, 0]], region="forehead"
        )
        other = injured(case, made, vasko, 2, place="left thigh")
        Certification.objects.create(
            **of, cause_a="Gunshot wound of the head", manner="natural", stated_at=MOMENT,
            stated_by=vasko, death_on=date(2026, 11, 14), death_time=time(1, 0),
        )  # fmt: skip
        add(vasko, case, picture_bytes(3), shows="Right thigh", finding_ids=[other.pk])
        Report.objects.create(**of, author=vasko, opinion="He had four stab wounds.")
        return case

    return made_once(build)


def test_a_weight_after_fixation_is_compared_with_no_reference():
    heavy = OrganWeight(organ="heart", weight_g=Decimal(800))
    assert compared._weighed(heavy, "male", 58).is_outside
    heavy.after_fixation = True
    assert not compared._weighed(heavy, "male", 58).is_outside


@pytest.mark.parametrize(
    ("is_day", "is_time", "compared_with"),
    [("actual", "actual", True), ("presumed", "actual", False), ("actual", "presumed", False)],
)
def test_a_presumed_time_of_death_is_compared_with_nothing(is_day, is_time, compared_with):
    stated = Certification(
        death_on=date(2026, 11, 14), death_time=time(1, 0), death_on_is=is_day,
        death_time_is=is_time,
    )  # fmt: skip
    assert (compared._moment_of(stated) is not None) is compared_with
    stated.death_time = None
    assert compared._moment_of(stated) is None


# The rules that other rooms have tried already with rows of their own are played there; here each
# of those that compare whole parts of a case is.
SPOKEN = {"side", "lividity", "places", "region", "sex", "weight", "times", "manner", "cause",
          "count", "taken", "negative", "probe-hole", "caption-side"}  # fmt: skip


def test_every_rule_speaks_of_a_record_that_contradicts_itself(client, contradictory, db):
    case = contradictory
    alarms = queries.alarms_of(case)
    assert {one.rule for one in alarms} == SPOKEN
    assert len({one.key for one in alarms}) == len(alarms)
    for one in alarms:
        assert one.places, one.rule
        for place in one.places:
            assert place_url(place, case.pk).startswith(f"/cases/{case.pk}/")
    client.force_login(make_staff(Role.INVESTIGATOR))
    page = client.get(reverse("checking:checks", args=[case.pk])).content.decode()
    for one in alarms:
        assert one.key.partition(":")[2] in page


def test_they_are_silent_once_the_record_agrees(contradictory, db):
    case = contradictory
    made = Examination.objects.get(case=case)
    Examination.objects.filter(pk=made.pk).update(
        internal="The heart is enlarged.", external="Hair gray."
    )
    SceneReading.objects.filter(case=case).update(kind="rectal")
    case.photograph_set.update(shows="Left thigh")
    Certification.objects.filter(case=case).update(manner="homicide", cause_a="Stab wound")
    Report.objects.filter(case=case).update(opinion="He had one stab wound.")
    Scene.objects.filter(case=case).update(lividity_where="Back")
    BodyReceipt.objects.filter(case=case).update(received_at=MOMENT - HOUR)
    case.finding_set.filter(number=1).update(place="Forehead", from_midline_cm=None, midline="")
    Place.objects.filter(case=case).update(to_at=None, from_at=None)
    assert queries.alarms_of(case) == []


def test_what_only_an_opened_body_shows_is_asked_about_where_none_was_opened(contradictory, db):
    case = contradictory
    Examination.objects.filter(case=case).update(kind="external")
    asked = [one for one in queries.alarms_of(case) if one.rule == "unopened"]
    assert {place.label for one in asked for place in one.places} == {
        "Written examination", "Organ weights",
    }  # fmt: skip
    # Of an examination that has not ended nothing is missing yet.
    Examination.objects.filter(case=case).update(kind="full autopsy", ended_at=None)
    assert "cause" not in {one.rule for one in queries.alarms_of(case)}
