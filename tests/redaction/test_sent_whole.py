"""A document in which places are marked for redaction does not go out whole unasked."""

from __future__ import annotations

import pytest
from django.urls import reverse

from cases.decisions import queries, ready
from me_office.audit.errors import Refused
from tests.decisions.builders import (
    approve,
    decide,
    demand_in,
    picked,
    reaching,
    request_for,
    second_person,
)
from tests.redaction.builders import cover

pytestmark = pytest.mark.django_db


def test_it_is_asked_plainly_and_marks_after_the_approval_end_it(clerk, case, letter, why, client):
    asked = request_for(case, clerk)
    demand = demand_in(asked, clerk)
    reaching(demand, clerk, "document")
    decide(demand, clerk, "release")
    cover(clerk, letter, 1, [1000, 1000, 3000, 2000], why)
    [row] = queries.standing_of(asked).all_rows
    assert (row.is_changed, row.is_marked_anew) == (True, True)
    with pytest.raises(Refused, match="marked for redaction in Document 1") as refused:
        decide(demand, clerk, "release")
    assert refused.value.field == "whole"
    client.force_login(clerk)
    place = {"case_id": case.pk, "request_id": asked.pk, "demand_id": demand.pk}
    token = "|".join((picked(demand)[0].kind, row.item.key, row.item.digest, str(row.decision.pk)))
    page = client.post(reverse("decisions:decide", kwargs=place),
                       {"items": token, "outcome": "release"})  # fmt: skip
    assert page.status_code == 422
    assert "Send it whole, although places in it are marked" in page.content.decode()
    decide(demand, clerk, "release", whole=True)
    approve(asked, second_person())
    assert ready.why_not_ready(asked) == []
    cover(clerk, letter, 1, [4000, 4000, 6000, 5000], why)
    assert ready.why_not_ready(asked) == ["Demand 1: 1 item has changed since the decision."]
    assert (
        "marked for redaction since"
        in client.get(reverse("decisions:demand", kwargs=place)).content.decode()
    )
